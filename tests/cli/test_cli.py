from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
from contextlib import redirect_stdout
from functools import partial
from html import unescape
from pathlib import Path
from unittest import mock

import pytest

from tests import fuzz
from thermal.cli import plan_commands
from thermal.cli.output import print_path, show
from thermal.cli.plain_signs import accept_every_sign, escape_json
from thermal.plan.example_plans import DEMO, example_path


def overwinter(*arguments, cwd):
    return subprocess.run(
        [sys.executable, "-m", "thermal", *arguments], cwd=cwd, capture_output=True, text=True, timeout=300
    )


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo in three of its winters; CI runs the command itself, in all."""
    folder = tmp_path_factory.mktemp("demo")
    text = example_path(DEMO).read_text("utf-8").replace('winters = "all"', "winters = [2010, 2011, 2016]")
    (folder / "demo.toml").write_text(text, "utf-8")
    return folder, overwinter("run", "demo.toml", "--json", "out.json", cwd=folder)


def test_demo_answers_and_writes_its_report(demo):
    folder, done = demo
    assert done.returncode == 0, done.stderr
    report = folder / "reports" / "demo-lorraine-fr"
    assert {one.name for one in report.iterdir()} >= {
        "report.html",
        "winter.png",
        "monthly.csv",
        "hourly.csv",
        "answer.json",
    }
    found = json.loads((folder / "out.json").read_text())
    first, second = found["heater"]["buy"]
    assert first == second > found["heater"]["needed_w"] / 2
    assert f"buy 2 × {first:,.0f} W" in done.stdout
    assert "reanalysis" in done.stdout
    page = unescape((report / "report.html").read_text("utf-8"))
    for said, times in ((" ".join(done.stdout.split()), 1), (page, 2)):  # 1,060 W above, 1,080 W in the tables
        assert said.count("The first figures of the answer are the middle of") == times
        assert "are for the likely value of every input" in said
    assert found["closure"] < 1e-6
    assert len(found["packages"]) == 64
    assert {"measures", "cost", "needed_w", "kwh"} <= set(found["packages"][0])
    assert found["spread"]["bands"]["needed_w"]["low"] < found["heater"]["needed_w"]
    assert found["packages"][0]["needed_w"] == pytest.approx(found["heater"]["needed_w"], abs=1.0)
    assert found["packages"][0]["kwh"] == pytest.approx(found["season"]["kwh"], rel=3e-4)  # in pieces


def test_the_page_needs_no_network_and_escapes_what_the_plan_says(tmp_path, workshop_text):
    hostile = workshop_text.replace("Perch and lettuce in the workshop", "<script>alert(1)</script> & fish")
    (tmp_path / "plan.toml").write_text(hostile.replace('winters = "all"', "winters = [2016]"))
    done = overwinter("run", "plan.toml", "--samples", "20", "--json", "-", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["plan"]["title"].startswith("<script>")
    page = (tmp_path / "reports" / "plan-springfield-il" / "report.html").read_text()
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page
    assert not re.findall(r"https?://(?!www\.w3\.org/2000/svg)", page)  # the name of the drawings' language


def test_check_prints_what_was_understood_in_us_units(tmp_path, workshop_text):
    (tmp_path / "plan.toml").write_text(workshop_text)
    done = overwinter("check", "plan.toml", "--units", "us", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "gal of water" in done.stdout
    assert "50.0 °F" in done.stdout


ENCODINGS = ("utf-8", "ascii", "cp1252", "cp437")
NARROW = 40  # columns


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    """Every command on one plan in US units: what it says, its pages, and the same on narrow terminals by encoding."""
    folder, shown, narrow = tmp_path_factory.mktemp("answers"), "", {}
    (folder / "hours.csv").write_text(fuzz.short_hours())
    workshop = example_path("workshop").read_text("utf-8")
    (folder / "plan.toml").write_text(workshop.replace('series = "springfield-il"', 'file = "hours.csv"'))
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for command in ("check", "heater", "run", "outage", "compare", "spread"):
            patch.setattr(plan_commands, "show", partial(show_narrow, narrow.setdefault(command, {})))
            more = ("--samples", "20") if command in ("run", "spread") else ()
            code, out, err = fuzz.ended(command, "plan.toml", "--units", "us", *more)
            assert code == 0, err
            shown += out
    for page in folder.glob("reports/*/*.html"):
        shown += re.sub(r"<style.*?</style>|<[^>]*>", " ", page.read_text(), flags=re.DOTALL)
    return shown, narrow


def show_narrow(said, json_file, content, print_for_people):
    """Show an answer, and keep what a narrow terminal of each encoding gets."""
    show(json_file, content, print_for_people)
    for encoding in ENCODINGS:
        stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
        accept_every_sign(stream)
        with redirect_stdout(stream), mock.patch.dict(os.environ, {"COLUMNS": str(NARROW), "NO_COLOR": "1"}):
            show(None, content, print_for_people)
            stream.flush()
        said[encoding] = stream.buffer.getvalue().decode(encoding)


def test_us_units_are_all_that_is_shown(answers):
    """Found by hand: warnings, presets and the card kept their degrees Celsius."""
    shown, _ = answers
    assert shown.count("°F") > 20
    assert not re.findall(r".{40}(?:°C|m²|\d (?:K|kg|L|m)\b).{20}", shown)


@pytest.mark.parametrize("command", ["check", "heater", "run", "outage", "compare", "spread"])
def test_a_narrow_terminal_of_any_encoding_shows_every_figure(answers, command):
    _, narrow = answers
    figures = [re.findall(r"\d[\d.,]*", narrow[command][encoding]) for encoding in ENCODINGS]
    assert len(figures[0]) > 10
    for encoding, found in zip(ENCODINGS, figures, strict=True):
        text = narrow[command][encoding]
        assert max(map(len, text.splitlines())) <= NARROW
        assert text.count("?") == narrow[command]["utf-8"].count("?")
        assert set(figures[0]) <= set(found), encoding


def test_a_drawing_in_ascii_shows_the_vessels(answers):
    _, narrow = answers
    lines = narrow["check"]["ascii"].splitlines()
    frame = [line for line in lines if line.startswith("+-") and line.endswith("-+")]
    assert [len(line) for line in frame] == [NARROW, NARROW]
    assert any("|~~" in line for line in lines)


@pytest.mark.parametrize("settings", [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0"}])
def test_a_terminal_without_utf_8_gets_an_answer(tmp_path, settings):
    plain = {"PYTHONUTF8": "0", "TERM": "dumb", "NO_COLOR": "1", "COLUMNS": "60"}
    done = subprocess.run(
        [sys.executable, "-m", "thermal", "check", "workshop"], cwd=tmp_path, capture_output=True, timeout=100,
        env={**os.environ, **plain, **settings},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    said = done.stdout.decode("ascii")
    assert "10.0 degC" in said
    assert "\x1b" not in said


def test_json_keeps_its_text_in_any_encoding():
    text = json.dumps({"title": "金魚 · Bücher 😀", "plain": 1}, ensure_ascii=False)
    for encoding in ENCODINGS:
        written = escape_json(text, encoding)
        assert json.loads(written.encode(encoding).decode(encoding)) == json.loads(text)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("run", "none.toml"), "cannot be read"),
        (("check", "bad.toml"), "did you mean 'diameter'"),
        (("check", "plan.toml", "--units", "metrics"), "did you mean 'metric'"),
        (("climate", "show", "springfeld-il"), "did you mean 'springfield-il'"),
        (("run", "plan.toml", "--jsn", "x"), "No such option"),
    ],
)
def test_bad_input_ends_with_two_and_no_traceback(tmp_path, workshop_text, arguments, said):
    (tmp_path / "plan.toml").write_text(workshop_text)
    (tmp_path / "bad.toml").write_text(workshop_text.replace("diameter", "dimeter"))
    done = overwinter(*arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_compare_weighs_packages_and_writes_its_page(tmp_path, workshop_text):
    start = workshop_text.index("[[measure]]", workshop_text.index("25 mm foam under the tank"))
    (tmp_path / "plan.toml").write_text(workshop_text[:start].replace('winters = "all"', "winters = [2016]"))
    done = overwinter("compare", "plan.toml", "--json", "out.json", "--budget", "60", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("! The water cools from")  # harm first
    assert "Start with: " in done.stdout
    found = json.loads((tmp_path / "out.json").read_text())
    assert len([one for one in found["packages"] if not one["way"]]) == 8
    assert {"measures", "cost", "needed_w", "kwh", "peak_w", "outage_h", "mould_h", "months"} <= set(
        found["packages"][0]
    )
    best = found["packages"][found["in_budget"]]
    assert best["cost"] <= 60
    assert best["winter_cost"] == min(one["winter_cost"] for one in found["packages"] if one["cost"] <= 60)
    folder = tmp_path / "reports" / "plan-springfield-il"
    assert {"compare.html", "packages.png", "floors.png", "packages.csv"} <= {one.name for one in folder.iterdir()}


def test_climate_list_and_show(tmp_path):
    assert "golden-co" in overwinter("climate", "list", cwd=tmp_path).stdout
    shown = overwinter("climate", "show", "newark-nj", cwd=tmp_path)
    assert "CC0" in shown.stdout
    assert json.loads(overwinter("climate", "list", "--json", "-", cwd=tmp_path).stdout)


def test_every_command_of_the_readme_is_known():
    """Each `overwinter ...` line of README names a command that has help."""
    import re

    readme = (Path(__file__).resolve().parents[2] / "README.md").read_text("utf-8")
    lines = sorted(set(re.findall(r"`overwinter ((?:climate )?[a-z]+)", readme)))
    assert {"check", "run", "heater", "compare", "outage", "spread", "fit", "start", "climate add"} <= set(lines)
    for line in lines:
        done = overwinter(*line.split(), "--help", cwd=Path.cwd())
        assert done.returncode == 0, line
        assert "Usage" in done.stdout


def test_json_into_a_missing_folder_is_refused_before_any_work(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = fuzz.ended("check", "workshop", "--json", "missing/answer.json")
    assert code == 2
    assert "there is no folder missing" in err
    assert not out
    assert not (tmp_path / "missing").exists()


@pytest.mark.parametrize("option", [None, "-"])
def test_the_path_is_printed_as_a_link_too(tmp_path, capsys, option):
    print_path("Report", tmp_path / "a b" / "report.html", option)
    printed = capsys.readouterr()
    said, other = (printed.err, printed.out) if option else (printed.out, printed.err)
    path, link = said.splitlines()
    assert path == f"Report: {tmp_path / 'a b' / 'report.html'}"
    assert link.startswith("file:///")
    assert link.endswith("a%20b/report.html")
    assert not other


def test_run_names_the_next_step(answers):
    shown, _ = answers
    assert "Next: overwinter compare plan.toml" in shown


def test_a_stream_writes_signs_that_its_encoding_lacks_in_plain_ones():
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    accept_every_sign(stream)
    stream.write("≈ 10 °C → é\udcff")
    stream.flush()
    assert stream.buffer.getvalue() == b"= 10 degC -> e?"
