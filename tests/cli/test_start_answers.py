"""Answers of `start` as options: whatever is written, a plan or a plain message comes of it."""

from __future__ import annotations

import pytest

from tests import fuzz
from thermal.plan.questions import QUESTIONS, default_answers
from thermal.plan.reader import read_plan

ODD = (
    "none", "", "?", "two", "-1", "0,17", "$0.17", "1,45 kr", "NaN", "4x8 ft", "x", "275 gal",
    "1,2 m", "3 kg", '"', "'''", "\\", "a = 1\n[b]", "\x00\x7f\ud800", "金魚とレタス", "5 m2", "50F", "no", "yes",
    "1 x 1 x 1 mm", "ö" * 500, "{{ 7 * 7 }}", "12:00-25:00", "200 W 06:00-30:00",
)  # fmt: skip


def test_every_question_ends_in_a_plan_or_a_message(tmp_path):
    """Each odd text is given to all questions at once; those that take it must together make a plan that reads."""
    file, plans = tmp_path / "p.toml", 0
    for number, odd in enumerate(ODD):
        system = ("metric", "us")[number % 2]
        words = [word for question in QUESTIONS for word in ("--answer", f"{question.key}={odd}")]
        code, _, err = fuzz.ended("start", str(file), "--yes", "--force", "--units", system, *words)
        refused = {line.split("=")[0].removeprefix("--answer ") for line in err.splitlines() if "--answer" in line}
        assert code in (0, 2), (odd, err)
        assert "Traceback" not in err
        assert all(len(line) < 700 for line in err.splitlines()), err
        left = [f"{question.key}={odd}" for question in QUESTIONS if question.key not in refused]
        words = [word for pair in left for word in ("--answer", pair)]
        code, _, err = fuzz.ended("start", str(file), "--yes", "--force", "--units", system, *words)
        assert code in (0, 2), (odd, err)
        if code == 0:
            assert read_plan(file).tanks
            plans += 1
    assert plans >= 8


@pytest.mark.parametrize(
    ("key", "text", "found"),
    [
        ("price", "$0.17", ("price", "0.17")),
        ("price", "17 cents", ("price", "0.17")),
        ("price", "0,17", ("price", "0.17")),
        ("price", "1,45 kr", ("currency", "kr")),
        ("beds", "two", ("beds", "2")),
        ("bed_size", "4x8 ft", ("bed_size", "4 ft x 8 ft")),
        ("tank_across", "48 in x 40 in", ("tank_shape", "rectangular")),
        ("tank_across", "1,2 m", ("tank_across", "1.2 m")),
        ("room_size", "24 x 24 x 9 ft", ("room_size", "24 ft x 24 ft x 9 ft")),
        ("room_size", "24' x 24' x 9'", ("room_size", "24' x 24' x 9'")),
        ("floor", "goldfish and lettuce", ("floor", "goldfish, lettuce")),
        ("floor", "gold fish", ("floor", "goldfish")),
        ("floor", "50F", ("floor", "50F")),
        ("heaters", "2 x 300 W", ("heaters", "300 W, 300 W")),
        ("circuit", "15A/120V, 20 A 120 V", ("circuit", "15 A 120 V, 20 A 120 V")),
        ("lights", "200 W 6:00-22:00", ("lights", "200 W 6:00-22:00")),
        ("door_size", "16x7 ft", ("door_size", "16 ft x 7 ft")),
        ("pump_share", "60 %", ("pump_share", "0.6")),
        ("walls", "no", ("walls", "not insulated")),
    ],
)
def test_the_forms_people_write_are_understood(key, text, found):
    from thermal.plan.answer_checks import understand

    changed = understand(key, text, default_answers("garage", "us"), "us").answers
    assert changed[found[0]] == found[1]
    again = understand(key, changed[key], default_answers("garage", "us") | changed, "us").answers
    assert again[key] == changed[key]  # what the plan writes reads the same


@pytest.mark.parametrize(
    ("answer", "reason"),
    [
        ("price=none", "is not a price per kWh; write for example 0.17"),
        ("price=17", 'for cents write "17 cents"'),
        ("price=-1", "is below zero"),
        ("beds=2.5", "is not a whole number"),
        ("floor=gold fish and lettus", "did you mean 'lettuce'"),
        ("tank_across=40 ft", "does not fit the room"),
        ("tank_depth=12 ft", "deeper than the room is high"),
        ("tank_depth=1,200 L", "can mean 1200 or 1.200"),
        ("bed_size=4x8", "has no unit"),
        ("room_size=24 x 24", "three lengths are needed, not '24 x 24'; write for example"),
        ("climate=Bismarck", "write its latitude and longitude"),
        ("climate=Springfield, MA", "there is no weather file for"),
        ("house_sides=4", "a room whose four walls all face the house"),
        ("walls=granite", "is not understood; write one of: insulated"),
        ("lights=06:00-22:00", "is not understood; write watts"),
    ],
)
def test_a_refused_answer_has_its_reason_and_an_example(answer, reason, tmp_path):
    code, _, err = fuzz.ended("start", str(tmp_path / "p.toml"), "--yes", "--answer", answer)
    assert (code, reason in err) == (2, True), err
    assert err.startswith(f"--answer {answer.split('=')[0]}="), err
    assert not list(tmp_path.iterdir())


def test_a_town_or_a_position_finds_its_weather_file(tmp_path):
    for text, name in {
        "Springfield": "springfield-il",
        "springfield, IL": "springfield-il",
        "40.7 N 74 W": "newark-nj",
    }.items():
        code, _, err = fuzz.ended("start", str(tmp_path / "p.toml"), "--yes", "--force", "--answer", f"climate={text}")
        assert code == 0, err
        assert read_plan(tmp_path / "p.toml").climate.series == name


def test_a_bad_draft_is_asked_again_and_a_broken_one_ignored(tmp_path):
    from thermal.cli.start_draft import draft_of, read_draft, write_draft

    file = tmp_path / "p.toml"
    write_draft(file, "us", {"beds": 'a "b"\n', "price": "0.2"})
    assert read_draft(file, ["units", "beds"]) == {"units": "us", "beds": 'a "b"\n'}
    code, _, err = fuzz.ended("start", str(file), "--yes")
    assert (code, "beds=" in err) == (2, True)
    draft_of(file).write_bytes(b"\xff = [")
    assert fuzz.ended("start", str(file), "--yes")[0] == 0
    assert not draft_of(file).exists()
