"""The pages in a real browser: offline, at phone width, on paper; what the plan says stays text."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests import fuzz
from tests.report.chromium import Chromium
from tests.report.page_looks import contrasts
from thermal.analysis.power_outage import OXYGEN_FIRST
from thermal.analysis.results import Outage, PlanWarning, TimeToLimit
from thermal.plan.reader import read_plan
from thermal.report.how_made import how_made
from thermal.report.html import script
from thermal.report.outage_card import card

BROWSER = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-extensions", "--disable-default-apps",
    "--metrics-recording-only", "--no-pings", "--no-pdf-header-footer",
)  # fmt: skip
HOSTILE = "<script>alert(1)</script> & fish"
HOSTILE_COMMENT = "# </pre></script><script>alert(2)</script><!-- \u2028 \u202e turned\n"
PAGES = ("report.html", "compare.html", "outage-card.html", "spread.html")
PAPER = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}  # inches
LONG = "Every heater hangs on one breaker: a false trip stops heat and air together, and nobody hears the alarm. " * 2
pytestmark = [pytest.mark.browser, pytest.mark.skipif(BROWSER is None, reason="no chromium on this machine")]


def browse(profile: Path, *arguments: str) -> str:
    done = subprocess.run(
        [BROWSER, *QUIET, f"--user-data-dir={profile}", *arguments], capture_output=True, text=True, timeout=120
    )
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory, workshop_text):
    """All pages of the demo's plan with one winter under a hostile title, a hostile comment beside it."""
    place = tmp_path_factory.mktemp("pages")
    text = workshop_text.replace("Perch and lettuce in the workshop", HOSTILE)
    first, second, third = (at.start() for at in list(re.finditer(r"\[\[measure\]\]", text))[:3])
    assert first < second < third
    text = HOSTILE_COMMENT + text[:third].replace('winters = "all"', "winters = [2016]")  # with two measures
    (place / "plan.toml").write_text(text, "utf-8")
    for command in ("run", "compare", "spread"):
        more = ("--samples", "20") if command in ("run", "spread") else ()
        code, _, err = fuzz.ended(command, str(place / "plan.toml"), "--reports", str(place / "reports"), *more)
        assert code == 0, err
    made = next((place / "reports").iterdir())
    (place / "log.csv").write_text(fuzz.short_log(), "utf-8")
    log, fitted = str(place / "log.csv"), ("--out", str(place / "fitted.toml"))
    for command in (
        ("fit", "garage-metric", log, *fitted, "--reports", str(place / "other")),
        ("table", str(place / "plan.toml"), "--samples", "0", "--html", str(made / "table.html")),
    ):
        code, _, err = fuzz.ended(*command)
        assert code == 0, err
    shutil.copy(next((place / "other").glob("*/fit.html")), made / "fit.html")
    return made


@pytest.fixture(scope="module")
def chromium(tmp_path_factory):
    """One browser for all checks."""
    browser = Chromium(tmp_path_factory.mktemp("profile"))
    yield browser
    browser.close()


@pytest.mark.parametrize("name", PAGES)
def test_pages_ask_for_nothing_and_fit_a_phone(chromium, folder, name):
    chromium.resize(360)
    chromium.open((folder / name).as_uri())
    assert chromium.asked in ([], [(folder / name).as_uri()])
    assert chromium.faults == []
    assert chromium.run("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("width", [360, 390])
@pytest.mark.parametrize("name", [*PAGES, "fit.html", "table.html"])
def test_nothing_scrolls_sideways_on_a_phone(chromium, folder, name, width):
    """WCAG 2.2, success criterion 1.4.10: at 320 px and above nothing has to be scrolled in two directions.

    A row of a table with three columns or more stands as a card there, each figure beside its heading.
    """
    chromium.resize(width)
    chromium.open((folder / name).as_uri())
    chromium.run("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
    wider = chromium.run(
        "[...document.querySelectorAll('body *')].filter((one) => one.scrollWidth > one.clientWidth + 1 &&"
        " one.clientWidth > 1 && getComputedStyle(one).display !== 'inline' && !one.closest('svg'))"
        ".map((one) => `${one.tagName} ${one.className} ${one.textContent.slice(0, 60)}`)"
    )
    assert wider == []
    lines = chromium.run(
        "[...document.querySelectorAll('td')].map((cell) => [cell.getBoundingClientRect().height /"
        " parseFloat(getComputedStyle(cell).fontSize) / 1.5, cell.textContent])"
    )
    assert [text for height, text in lines if height > 6.0] == []
    labels = chromium.run(
        "[...document.querySelectorAll('table.cards td:not(:first-child)')].filter((cell) => cell.textContent)"
        ".map((cell) => [cell.dataset.label, getComputedStyle(cell, '::before').content])"
    )
    assert all(label and label in shown for label, shown in labels)


def test_a_page_that_asks_is_noticed(chromium, tmp_path):
    (tmp_path / "asks.html").write_text("<html><img src='http://127.0.0.1:9/x.png'></html>")
    chromium.open((tmp_path / "asks.html").as_uri())
    assert "http://127.0.0.1:9/x.png" in chromium.asked


@pytest.mark.parametrize("name", PAGES)
def test_the_policy_of_each_page_forbids_requests(chromium, folder, tmp_path, name):
    page = (folder / name).read_text("utf-8")
    wanted = "http://127.0.0.1:9/x.png"
    (tmp_path / name).write_text(
        page.replace("</main>", f"<img src='{wanted}'><script>document.title=1</script></main>")
    )
    chromium.open((tmp_path / name).as_uri())
    assert any("Content Security Policy" in fault for fault in chromium.faults)
    assert chromium.run("document.title") != "1"


@pytest.mark.parametrize(("width", "height"), [(1200, 800), (390, 800)])
def test_the_first_screen_has_verdict_heaters_cost_and_picture(chromium, folder, width, height):
    chromium.resize(width, height)
    chromium.open((folder / "report.html").as_uri())
    ends = chromium.run(
        "[...document.querySelectorAll('#answer .verdicts, #answer .figures, #answer .chart svg')]"
        ".map((part) => part.getBoundingClientRect()).filter((box) => box.height).map((box) => box.bottom)"
    )
    assert len(ends) == 3
    assert ends == sorted(ends)
    assert 0 < ends[-1] <= height
    words = chromium.run("document.getElementById('answer').innerText").lower()
    assert words.index("plants (not named): no") < words.index("buy\n") < words.index("cost, ")
    assert re.search(r"cost, winter 2016\n\D*[\d,]+\D*\n\D*[\d,]+.* to \D*[\d,]+", words)


class Outline(HTMLParser):
    """Headings, anchors, pictures' words, scripts and the plan's text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.headings: list[tuple[str, str]] = []
        self.anchors: set[str] = set()
        self.leads_to: list[str] = []
        self.scripts: list[str] = []
        self.described, self.plan, self.inside, self.language = 0, "", "", ""
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        self.inside = tag
        if tag == "html":
            self.language = values["lang"]
        if tag == "pre":
            self.inside = "plan"
        if tag in ("h1", "h2", "h3"):
            self.headings.append((tag, ""))
        if tag == "script":
            self.scripts.append("")
        self.described += tag == "desc"
        self.anchors |= {values["id"]} if "id" in values else set()
        self.leads_to += [values[name] for name in ("href", "src", "action", "data", "srcset") if name in values]

    def handle_endtag(self, tag):
        self.inside = ""

    def handle_data(self, data):
        if self.inside in ("h1", "h2", "h3"):
            self.headings[-1] = (self.inside, self.headings[-1][1] + data)
        elif self.inside == "script":
            self.scripts[-1] += data
        elif self.inside == "plan":
            self.plan += data


@pytest.mark.parametrize("name", PAGES)
def test_sections_contents_and_language(folder, name):
    outline = Outline((folder / name).read_text("utf-8"))
    assert outline.language == "en"
    assert sum(tag == "h2" for tag, _ in outline.headings) <= 7
    assert all(address[0] == "#" and address[1:] in outline.anchors for address in outline.leads_to)
    assert name == "outage-card.html" or len(outline.leads_to) >= 4


def test_headings_and_descriptions_of_the_report(folder):
    outline = Outline((folder / "report.html").read_text("utf-8"))
    wanted = [
        "Warnings", "Harm to people and animals", "Fish and plants", "What to buy", "Which insulation first",
        "Winters and heat", "Where the heat goes", "Damp and mould", "What it costs",
        "Other minimum water temperatures", "When the power fails", "How certain, and how it was made",
        "How certain the figures are",
        "How this page was made", "Words on this page",
    ]  # fmt: skip
    headings = [heading for _, heading in outline.headings]
    assert [heading for heading in headings if heading in wanted] == wanted
    assert outline.described == 2 * 7  # winter, week, room, months, packages, minimums, power cut in two sizes each
    assert headings[0] == HOSTILE


@pytest.mark.parametrize("name", ["report.html", "compare.html", "spread.html"])
def test_the_plan_can_be_copied_and_is_inert(folder, name, tmp_path):
    text = (folder / name).read_text("utf-8")
    outline = Outline(text)
    copied = tmp_path / "copied.toml"
    copied.write_text(outline.plan, "utf-8")
    assert read_plan(copied) == read_plan(folder.parents[1] / "plan.toml")
    assert "alert(2)" in outline.plan
    assert not {"\u2028", "\u202e"} & set(text)
    own = [script(file) for file in ("hover.js", "choices.js")]
    assert all(content in own or content.lstrip().startswith(("{", "[")) for content in outline.scripts)
    made = how_made("run", folder.parents[1] / "plan.toml")
    assert made.plan_hash[:16] in text
    assert f"overwinter {made.version}" in text


def pages_of(pdf: bytes) -> int:
    """Number of sheets of a PDF."""
    return max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))


@pytest.mark.parametrize("paper", PAPER)
def test_the_report_prints_on_eight_sheets(chromium, folder, paper):
    chromium.open((folder / "report.html").as_uri())
    pdf = chromium.pdf(*PAPER[paper])
    assert 2 <= pages_of(pdf) <= 8
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert float(box[1]) == pytest.approx({"A4": 595, "Letter": 612}[paper], abs=1.5)


def test_folded_parts_are_open_on_paper(chromium, folder, tmp_path):
    style = re.search(r"<style>.*?</style>", (folder / "report.html").read_text("utf-8"), re.DOTALL)[0]
    tall = "<details><summary>more</summary><p style='height:700mm'>tall</p></details>"
    sheets = []
    for number, rules in enumerate((style, style.replace("::details-content", "::nothing"))):
        (tmp_path / f"{number}.html").write_text(f"<!doctype html>{rules}{tall}", "utf-8")
        chromium.open((tmp_path / f"{number}.html").as_uri())
        sheets.append(pages_of(chromium.pdf(*PAPER["A4"])))
    assert sheets[0] >= 3
    assert sheets[1] == 1


def outage_with(warnings: int, lethal_c: float | None) -> Outage:
    """A power cut with this many long warnings; the card has a row more where there is a lethal limit."""
    time = TimeToLimit(1.6, 2.9, 104.0, "2012-02-07T07:00:00")
    names = (
        "to_floor",
        "to_lethal",
        "to_freezing",
        "bed_to_floor",
        "bed_to_freezing",
        "with_lid",
        "with_blanket",
        "with_both",
    )
    return Outage(
        4669, "2012-02-07T07:00:00", OXYGEN_FIRST, lethal_c=lethal_c, air_pump_wh=240.0, heat_wh_worst=14500.0,
        heat_wh_median=3500.0, curve_c=(), curve_lid_c=(), curves_c={},
        warnings=tuple(PlanWarning("one-breaker", LONG, harm=True) for _ in range(warnings)),
        **dict.fromkeys(names, time),
    )  # fmt: skip


@pytest.mark.parametrize("warnings", [0, 1, 3])
def test_the_wall_card_fills_one_sheet(chromium, folder, tmp_path, warnings):
    """With every row that its table may have, letters have at least 9 points, without warnings 10.4."""
    plan = replace(read_plan(folder.parents[1] / "plan.toml"), title="Fish and greens in the cold garage " * 2)
    sheet = card(plan, outage_with(warnings, 8.0), how_made("outage", folder.parents[1] / "plan.toml"))
    (tmp_path / "card.html").write_text(sheet, "utf-8")
    chromium.open((tmp_path / "card.html").as_uri())
    assert [pages_of(chromium.pdf(*size)) for size in PAPER.values()] == [1, 1]
    chromium.call("Emulation.setEmulatedMedia", media="print")
    letters_px = chromium.run(
        "[...document.querySelectorAll('p:not(.foot), li, td')]"
        ".map((part) => parseFloat(getComputedStyle(part).fontSize))"
    )
    chromium.call("Emulation.setEmulatedMedia", media="")
    assert min(letters_px) >= (10.4 if warnings == 0 else 9.0) * 96 / 72


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", PAGES)
def test_every_text_is_readable_in_both_schemes(chromium, folder, name, scheme):
    """WCAG 2.2, success criterion 1.4.3: text has a contrast of at least 4.5 with what is behind it."""
    chromium.resize(390)
    chromium.look(scheme)
    try:
        chromium.open((folder / name).as_uri())
        chromium.run("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
        assert [text for text in contrasts(chromium) if text["ratio"] < 4.5] == []
        paper = chromium.run("getComputedStyle(document.body).backgroundColor")
        assert (sum(map(int, re.findall(r"\d+", paper)[:3])) < 200) == (scheme == "dark")
    finally:
        chromium.look("light")


def test_a_chosen_minimum_has_its_line_in_the_charts_of_temperatures(chromium, folder):
    chromium.resize(1200)
    chromium.open((folder / "report.html").as_uri() + "#measures=&minimum=20")
    marks = chromium.run(
        "[...document.querySelectorAll('svg[data-hours] .chosen-minimum')].map((line) =>"
        " [line.closest('svg').dataset.y.split(' ').map(Number), parseFloat(line.getAttribute('d').split(/[ H]/)[1])])"
    )
    assert len(marks) == 4  # winter and week, in two sizes each
    for (bottom, low, top, high), y in marks:
        assert low + (y - bottom) * (high - low) / (top - bottom) == pytest.approx(20.0, abs=0.1)
    chromium.run("document.getElementById('choice-reset').click()")
    assert chromium.run("document.querySelectorAll('.chosen-minimum').length") == 0
