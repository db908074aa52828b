"""Whatever stands in a plan or a CSV: a command ends with 0 or 2, without a traceback, and prints numbers only."""

from __future__ import annotations

import contextlib
import copy
import os
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import fuzz
from thermal.climate.logger_csv import read_log
from thermal.errors import OverwinterError
from thermal.plan.reader import schema

pytestmark = pytest.mark.no_cover  # plans at random would make the share covered random too

PLANS = Path(__file__).resolve().parent.parent / "thermal" / "plan" / "examples"
BASE = tomllib.loads((PLANS / "workshop.toml").read_text("utf-8"))
HELD = sorted(fuzz.places(BASE), key=str)
KEYS = sorted({*fuzz.places(BASE), *fuzz.schema_keys(schema())}, key=str)


def many(examples: int) -> settings:
    """Settings for so many examples, however long each takes."""
    return settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck), database=None)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A working folder with a month of hours in it."""
    place = tmp_path_factory.mktemp("fuzz")
    (place / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
    before = Path.cwd()
    os.chdir(place)
    yield place
    os.chdir(before)


@st.composite
def plans(draw):
    """The demo plan on a month of hours with one to four keys changed or gone."""
    document = copy.deepcopy(BASE)
    document["climate"] = {"file": "hours.csv"}
    document["measure"] = document["measure"][:1]
    for _ in range(draw(st.integers(1, 4))):
        path = draw(st.sampled_from(KEYS))
        what = draw(st.sampled_from(["nudge", "nudge", "nudge", "nudge", "drop", "put"]))
        if what == "nudge":
            fuzz.nudge(document, draw(st.sampled_from(HELD)), 10.0 ** draw(st.floats(-2.0, 2.0)))
        elif what == "drop":
            fuzz.drop(document, path)
        else:
            fuzz.put(document, path, draw(fuzz.VALUES))
    return document


def judged(folder: Path, text: str | bytes) -> int:
    """The exit code of sizing a plan's heater, after looking at all it printed."""
    plan, assessment = folder / "plan.toml", folder / "answer.json"
    plan.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "replace"))
    assessment.unlink(missing_ok=True)
    code, out, err = fuzz.ended("heater", "plan.toml", "--json", "answer.json")
    assert code in (0, 2), (code, err)
    assert "Traceback" not in err
    assert not re.search(r"(?<![a-z])(nan|inf)(?![a-z])", out, re.IGNORECASE), out
    if code == 2:
        assert err.strip(), "a fault without a word"
        assert len(err) < 20_000
    else:
        found = fuzz.read_json(assessment)
        assert fuzz.finite(found)
        assert isinstance(found["heater"]["needed_w"], float | int)
        assert found["closure"] < 1e-6
    return code


def _plan(folder, document):
    judged(folder, fuzz.toml(document))


def _plan_bytes(folder, raw, at):
    text = (PLANS / "workshop.toml").read_bytes().replace(b'series = "springfield-il"', b'file = "hours.csv"')
    for place, byte in at:
        text = text[: place % len(text)] + bytes([byte]) + text[place % len(text) + 1 :]
    judged(folder, text + raw)


BYTES = st.lists(st.tuples(st.integers(0, 5000), st.integers(0, 255)), min_size=1, max_size=3)


def _csv(folder, raw):
    file = folder / "given.csv"
    file.write_bytes(raw)
    for name in ("climates/given.toml", "climates/given.csv.gz"):
        (folder / name).unlink(missing_ok=True)
    code, out, err = fuzz.ended("climate", "add", "given.csv", "--name", "given", "--zone", "America/Chicago")
    assert code in (0, 2), (code, out, err)
    if code == 0:
        code, out, err = fuzz.ended("climate", "show", "given")
        assert code in (0, 2), (code, out, err)
        assert not re.search(r"(?<![a-z])(nan|inf)(?![a-z])", out, re.IGNORECASE), out
    plan = (PLANS / "workshop.toml").read_text("utf-8").replace('series = "springfield-il"', 'file = "given.csv"')
    judged(folder, plan)
    with contextlib.suppress(OverwinterError):
        read_log(file)


@many(10)
@given(document=plans())
def test_plans_at_random(folder, document):
    _plan(folder, document)


@many(20)
@given(raw=st.binary(max_size=20), at=BYTES)
def test_plan_files_with_bytes_flipped(folder, raw, at):
    _plan_bytes(folder, raw, at)


@many(25)
@given(raw=fuzz.broken_csv())
def test_broken_csvs(folder, raw):
    _csv(folder, raw)


@pytest.mark.slow
@many(10_000)
@given(document=plans())
def test_ten_thousand_plans(folder, document):
    _plan(folder, document)


@pytest.mark.slow
@many(1_000)
@given(raw=fuzz.broken_csv())
def test_a_thousand_broken_csvs(folder, raw):
    _csv(folder, raw)
