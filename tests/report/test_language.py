"""What a grower reads of the demo is plain English: no word of the program's own tongue, one style of figures.

Terminal output, pages, pictures' alternative texts and labels, the wall card, help texts and the ready plans' comments
are read as plain text, in metric and in US units.
"""

from __future__ import annotations

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests import fuzz
from thermal.analysis.calibration import Calibration
from thermal.analysis.calibration_intervals import Combined, Estimate
from thermal.analysis.cooldown_test import cooldown_test
from thermal.errors import PlanError
from thermal.plan.model import Factors, FactorSpread
from thermal.plan.reader import plan_of, with_settings
from thermal.plan.wizard import QUESTIONS
from thermal.report import calibration_text, charts, comparison_charts, sentences
from thermal.report.cooldown_text import cooldown_sentence

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "thermal" / "plan" / "examples"
FORBIDDEN = {
    "'floor' for the minimum water temperature": r"\bfloors?\b",
    "'least' for needed": r"\bleast (?:heater|W\b|watts)",
    "'draws' for samples": r"\bdraws?\b|\bdrawn (?:from|of)\b",
    "'median' for typical": r"\bmedians?\b",
    "'series' for weather file": r"\bseries\b",
    "'hardest hour' for peak heat demand": r"\bhardest\b",
    "'what is not known'": r"\bwhat is not known\b|\bnot known\b(?! from this log)",
    "'from memory'": r"\bfrom memory\b",
    "'nothing beats', 'no other beats'": r"\bbeat(?:s|en)?\b",
    "'weigh' for compare": r"\bweigh (?!a tray)",
    "'such as' for an example to type": r"\bwrite such as\b",
    "a difference in kelvin": r"\d ?K\b|\bkelvins?\b|(?<![/\w²])K·h",
    "per cent without its space": r"\d%",
    "a plural left to the reader": r"\(s\)",
    "'longwave' without 'radiation' beside it": r"(?<!radiation \()\blongwave\b(?! radiation)",
    "'duty' for share of the time": r"\bduty\b",
    "'5-95 %' for a range of 90 %": r"\b5[-–]95\b|\b5 to 95 %",
    "watts finer than they are known, or without a comma": r"\b\d{4} W\b",
}
LEGAL = (  # the room's own floor, the one sentence that says what typical means, words of the plan file and of sources
    r"^ floor +bare slab .*$",
    r"\bthe median of the complete winters\b",
    r'(?m)^\s*(?:floor|series) = ".*?"',
    r'\bfloor = "10 degC"',
    r"\[room\.floor\]",
    r'\bseries = "[\w-]+"',
    r"--floor\b",
    r"\bdrawn to scale\b",
    r"\bm²K/W\b",
    r"\bnot stated for the series\b",
)


def faults(text: str) -> list[str]:
    """Every forbidden word of a text with what stands round it."""
    for words in LEGAL:
        text = re.sub(words, " ", text, flags=re.MULTILINE | re.IGNORECASE)
    text = re.sub(r"\s+", " ", text)
    found = []
    for name, words in FORBIDDEN.items():
        found += [f"{name}: …{text[max(0, at.start() - 40) : at.end() + 30]}…" for at in re.finditer(words, text)]
    return found


class Visible(HTMLParser):
    """The text of a page with the alternative texts of its pictures, style sheets left out."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.hidden = False

    def handle_starttag(self, tag, attrs):
        self.hidden = tag in ("style", "script", "pre")  # the last holds the plan
        self.parts += [value for name, value in attrs if name in ("alt", "title") and value]

    def handle_endtag(self, tag):
        self.hidden = False

    def handle_data(self, data):
        if not self.hidden:
            self.parts.append(data)


def visible(page: Path) -> str:
    reader = Visible()
    reader.feed(page.read_text("utf-8"))
    return "\n".join(reader.parts)


@pytest.fixture(scope="module", params=["metric", "us"])
def shown(request, tmp_path_factory) -> dict[str, str]:
    """All that the demo's commands show, by command or page; of one winter in US units, which saves half a minute."""
    folder = tmp_path_factory.mktemp(request.param)
    plan = folder / "workshop.toml"
    text = (EXAMPLES / "workshop.toml").read_text("utf-8")
    one_winter = text.replace('winters = "all"', "winters = [2016]")
    assert one_winter != text
    plan.write_text(one_winter if request.param == "us" else text, "utf-8")
    texts = {}
    for command in ("run", "heater", "compare", "outage", "spread", "check"):
        more = ("--samples", "20") if command in ("run", "spread") else ()
        done = subprocess.run(
            [sys.executable, "-m", "thermal", command, str(plan), "--units", request.param, *more],
            cwd=folder, capture_output=True, text=True, timeout=300,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        texts[command] = done.stdout
    pages = list(folder.glob("reports/*/*.html"))
    assert {page.name for page in pages} == {"report.html", "compare.html", "outage-card.html", "spread.html"}
    return texts | {page.name: visible(page) for page in pages}


@pytest.mark.parametrize(
    "name",
    [
        "run",
        "heater",
        "compare",
        "outage",
        "spread",
        "check",
        "report.html",
        "compare.html",
        "outage-card.html",
        "spread.html",
    ],
)
def test_the_demo_speaks_plainly(shown, name):
    assert len(shown[name]) > 300
    assert faults(shown[name]) == []
    assert re.findall(r"\b(?:19|20)\d\d-[01]\d(?:-[0-3]\d)?\b", shown[name]) == [], "dates in the order of files"


@pytest.mark.parametrize("words",
    [
        (), ("demo",), ("start",), ("run",), ("heater",), ("outage",), ("compare",), ("spread",), ("fit",), ("check",),
        ("climate",), ("climate", "list"), ("climate", "show"), ("climate", "add"), ("climate", "fetch"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_help_texts_speak_plainly(words):
    """The library that prints them writes "<int range>" and the like; options and commands keep their names."""
    code, out, err = fuzz.ended(*words, "--help")
    assert (code, err) == (0, "")
    said = re.sub(r"(?m)^  spread  ", "", out)
    assert len(said) > 80
    assert faults(said) == []
    for line in re.findall(r"(?m)^  (?:--[a-z-]+|[A-Za-z]+) <[^>]*>(.*)$", out):
        assert re.sub(r"\[.*", "", line).strip(), f"no help for {line!r}"


def test_weather_files_are_shown_plainly():
    for words in (("climate", "list"), ("climate", "show", "golden-co"), ("climate", "show", "springfield-il")):
        code, out, _ = fuzz.ended(*words)
        assert code == 0
        assert faults(out) == []


@pytest.mark.parametrize("path", sorted(EXAMPLES.iterdir()), ids=lambda path: path.name)
def test_ready_plans_speak_plainly(path):
    comments = re.findall(r"#.*", path.read_text("utf-8"))
    assert comments
    assert faults("\n".join(comments)) == []
    if path.stem.endswith(("-us", "-metric")):
        assert any(comment.startswith("# Measures to") for comment in comments)


def test_questions_speak_plainly():
    assert faults("\n".join(question.asks for question in QUESTIONS)) == []


def test_harms_are_printed_and_stand_among_the_warnings(shown):
    """Fish that the water changes too fast for, and one circuit for heat and air: before all other warnings."""
    terminal, page = (re.sub(r"\s+", " ", shown[name]) for name in ("run", "report.html"))
    for harm in ("The water cools from", "A false trip of the RCD/GFCI stops heat and air together."):
        assert f"! {harm}" in terminal
        assert page.index(harm) < page.index(" Other warnings ") < page.index("Worth knowing")


HOURS = [f"2016-{month:02}-{day:02}T{hour:02}:00" for month in (10, 11) for day in range(1, 29) for hour in range(24)]
CSVS = {  # a weather file with a mistake, and what is said of it
    "empty": ("", "use a CSV file"),
    "no temperature": ("time_utc,rain\n" + "".join(f"{at}Z,1\n" for at in HOURS), 'or add --column air="HEADING"'),
    "no zone": ("time,temp_c\n" + "".join(f"{at},5\n" for at in HOURS), "add for example --zone"),
    "no time": ("n,temp_c\n" + "".join(f"{n},5\n" for n in range(99)), 'add --column time="HEADING"'),
    "short": ("time_utc,air_c\n" + "".join(f"{at}Z,5\n" for at in HOURS[:9]), "at least a day of hours"),
    "odd time": (
        "time_utc,air_c\n" + "".join(f"day {n},5\n" for n in range(99)),
        "write for example 2020-01-31T07:00Z",
    ),
    "two places": (
        "time_utc,outside_a_c,outside_b_c\n" + "".join(f"{at}Z,5,6\n" for at in HOURS),
        '--column air="outside_a_c" or --column air="outside_b_c"',
    ),
    "no unit": ("time_utc,temp\n" + "".join(f"{at}Z,12\n" for at in HOURS), "--unit air=degC or --unit air=degF"),
    "wrong unit": (
        "time_utc,air_c\n" + "".join(f"{at}Z,{40 + n % 9}\n" for n, at in enumerate(HOURS)),
        "--unit air=degF",
    ),
    "impossible": (
        "time_utc,air_c\n" + "".join(f"{at}Z,{70 + n % 9}\n" for n, at in enumerate(HOURS)),
        "--unit air=degF",
    ),
    "open dates": (
        "time,air_c\n" + "".join(f"02/03/2016 {hour}:00,5\n" for hour in range(24)),
        "add --dates day-first or",
    ),
    "odd year": (
        "time_utc,air_c\n" + "".join(f"{at}Z,5\n" for at in (*HOURS, "2961-01-01T00:00")),
        "correct the years",
    ),
}
LOGS = {  # a log with a mistake, and what is said of it
    "empty": ("", "use a CSV file"),
    "no rows": ("time,water,room,outdoor\n", "use a file with hours in it"),
    "no time": ("n,water\n" + "".join(f"{n},10\n" for n in range(99)), 'name one "time"'),
    "no water": ("time,outdoor\n" + "".join(f"{at},10\n" for at in HOURS), "name it, or add --column water="),
    "two tanks": ("time,tank a,tank b\n" + "".join(f"{at},10,9\n" for at in HOURS), 'or --column water="tank b"'),
    "wrong unit": ("time,water C\n" + "".join(f"{at},50\n" for at in HOURS), "--unit water=degF"),
    "short": ("time,water,outdoor\n" + "".join(f"{at},10,0\n" for at in HOURS[:72]), "three weeks are better"),
    "odd time": (
        "time,water\n" + "".join(f"{at},10\n" for at in (*HOURS[:99], *["noon"] * 9)),
        "write for example 2020-01-31T07:00Z",
    ),
    "words": ("time,water,outdoor\n" + "".join(f"{at},cold,0\n" for at in HOURS[:400]), "leave the column out, or log"),
    "gap": (
        "time,water,outdoor\n" + "".join(f"{at},10,{'' if n % 60 > 40 else 1}\n" for n, at in enumerate(HOURS[:400])),
        "no outdoor air temperature for more than 6 h",
    ),
}


@pytest.mark.parametrize(
    ("command", "text", "remedy"),
    [(("climate", "add", "given.csv", "--name", "mine"), *case) for case in CSVS.values()]
    + [(("fit", str(EXAMPLES / "workshop.toml"), "given.csv"), *case) for case in LOGS.values()],
    ids=[*(f"weather file, {name}" for name in CSVS), *(f"log, {name}" for name in LOGS)],
)
def test_mistakes_in_files_are_told_plainly(tmp_path, monkeypatch, command, text, remedy):
    monkeypatch.chdir(tmp_path)
    Path("given.csv").write_text(text, "utf-8")
    code, _, err = fuzz.ended(*command)
    assert code == 2
    assert remedy in err
    assert faults(err) == []


MISTAKES = {
    "title": 7, "show.units": "si", "climate.winters": "2016", "climate.coldest_night": -30, "keep.floor": "55-60 degF",
    "keep.species": ["pike perch"], "keep.thermostat": "95 degC", "tank.diameter": "1,2 m", "tank.count": 0,
    "tank.walls": "steel 1", "tank.top": "foam", "tank.stands_on": "legs", "bed.fill": "sand", "bed.wet": "30 %",
    "bed.water_depth": "20 gal", "pump.flow": "1500", "pump.hours": "6am-10pm", "room.height": "0 m",
    "room.air_changes": 60, "room.humidity": "160 %", "room.side.door.area": "38", "room.side.door.faces": "north",
    "room.floor.soil": "chalk", "heater.units": "300 W", "heater.reserve": 20, "power.price": "0.17",
    "power.circuit": "16A", "power.household": "400 W", "colour": "red", "water.change_per_day": "5 kg",
}  # fmt: skip


def test_mistakes_in_a_plan_are_told_plainly(workshop):
    with pytest.raises(PlanError) as caught:
        plan_of(with_settings(workshop, MISTAKES))
    said = caught.value.faults
    assert len(said) >= len(MISTAKES)
    assert all("; " in fault and "pydantic" not in fault and "input should" not in fault for fault in said), said
    assert faults("\n".join(fault.split(": ", 1)[1] for fault in said)) == []


def drawn_texts(figure) -> str:
    """Every text of a figure: labels, titles, legends and notes."""
    return "\n".join(text.get_text() for text in figure.findobj(lambda part: hasattr(part, "get_text")))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_charts_speak_plainly(case_with, units):
    from thermal.analysis.assessment import assess
    from thermal.analysis.design_study import comparison_of, design_study, study_results

    case = case_with({"climate.winters": [2016], "show.units": units})
    assessment = assess(case, remedies=False)
    study = design_study(case, comparison=True)
    comparison = comparison_of(study, study_results(study))
    figures = [
        charts.winter_chart(assessment), charts.months_chart(assessment), charts.design_chart(assessment),
        charts.outage_chart(assessment), comparison_charts.packages_chart(case.plan, comparison),
        comparison_charts.floors_chart(case.plan, comparison),
    ]  # fmt: skip
    texts = [drawn_texts(figure) for figure in figures]
    assert all(len(text) > 60 for text in texts)
    assert faults("\n".join(texts)) == []
    assert ("°F" in texts[0], "°C" in texts[0]) == (units == "us", units == "metric")


@pytest.mark.parametrize(
    ("settings", "begins", "winter"),
    [
        ({"heater.units": ["300 W"]}, "Your heater is too small: with 300 W the water would fall to", "of winter 2016"),
        ({"heater.units": ["1 kW", "1 kW"]}, "Yes, with the heaters you own (2 × 1,000 W). At least", "of winter 2016"),
        ({"heater.where": "room"}, "Yes, with heaters in the room: buy ", "of winter 2016"),
        ({"room.lights.power": "6 kW"}, "No heater is needed, but the water gets too warm: it ranges from", ""),
    ],
    ids=["too small", "owned", "room", "too warm"],
)
def test_the_verdict_comes_first_and_names_its_winter(case_with, settings, begins, winter):
    from thermal.analysis.assessment import assess

    settings = {"climate.winters": [2016], "keep.species": ["kale"], **settings}
    said = sentences.verdict(assess(case_with(settings), remedies=False))
    assert said.startswith(begins)
    assert winter in said
    assert faults(said) == []


@pytest.mark.parametrize("units", ["metric", "us"])
def test_calibration_speaks_plainly_in_the_users_degrees(workshop, units):
    workshop["show"]["units"] = units
    plan = plan_of(workshop)
    found = made_up_fit()
    said = [calibration_text.fit_sentence(plan, found), *calibration_text.correlated_pairs_text(found)]
    said += calibration_text.combined_text(plan, found)
    table = calibration_text.fit_table(found)
    said += [*table.heads, *(cell for cells in table.cells for cell in cells)]
    rules = [cooldown_test(plan, f"{watts} W, 11 degC, 6 degC", None) for watts in (25, 2500)]
    said += [cooldown_sentence(plan, rule) for rule in rules]
    assert "loses too much" in said[-2]
    assert "Evaporation should account" in said[-1]
    assert faults("\n".join(said)) == []
    wanted, change_k = ("°F", 1.8) if units == "us" else ("°C", 1.0)
    assert f"within {0.5 * change_k:.2f} {wanted}" in said[0]


def made_up_fit() -> Calibration:
    """A fit with something of every kind to say."""
    return Calibration(
        hours=300,
        estimates=(Estimate("mass", 1.2, 1.1, 1.3), Estimate("water", 0.9, 0.8, 1.0)),
        combined=(Combined(("room", "air_change"), (0.7, 0.3), 1.2, 1.1, 1.3, 120.0, 110.0, 130.0),),
        factors=Factors(),
        spread=FactorSpread(),
        cannot_tell=("room", "air_change", "cover"),
        tied=(("mass", "water", 0.95),),
        spikes=3,
        water_rms_k=0.4,
        room_rms_k=None,
        held_out_rms_k=0.5,
        before_rms_k=2.0,
        times=(),
        water_c=None,
        room_c=None,
    )


@pytest.mark.parametrize(
    "old",
    [
        "Overwinters with 2 × 800 W: at least 1,060 W holds 10 °C, above the floor of 10 °C",
        "in 100% of 48 draws of what is not known; the least heater lies between 940 and 1,170 W (5-95 %).",
        "One kelvin more floor costs 30 USD in a median winter.",
        "animals stand 3 K at most (from memory)",
        "3 winter(s), 1 complete, 0.0% of hours filled in.",
        "At the hardest hour heat leaves by tank walls 24%",
        "K·h under 10 °C",
        "the ones that no other beats in price and running cost at once",
        "List every climate series at hand.",
    ],
)
def test_old_texts_are_noticed(old):
    """Sentences of the demo before this test was written."""
    assert faults(old)


def test_a_rooms_own_floor_is_legal():
    assert faults(" floor             bare slab         ground     ███████      30.0 m²   27.9 W/K") == []
    assert faults("wall R 0.01 m²K/W, 11.3 W/K") == []
    assert faults("perch tank: floor, 10 °C")
