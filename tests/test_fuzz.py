"""Whatever stands in a plan or a CSV: a command ends with 0 or 2, without a traceback, and prints numbers only.

It takes at most a minute of processor time and a gibibyte of memory, its worker processes counted one by one.
"""

from __future__ import annotations

import contextlib
import copy
import functools
import json
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
READY = {path.stem: tomllib.loads(path.read_text("utf-8")) for path in sorted(PLANS.glob("*.toml"))}
HELD = {name: sorted(fuzz.places(plan), key=str) for name, plan in READY.items()}
KEYS = sorted({path for plan in READY.values() for path in fuzz.places(plan)} | {*fuzz.schema_keys(schema())}, key=str)
COMMANDS = {
    "check": ("check", "plan.toml"),
    "heater": ("heater", "plan.toml"),
    "outage": ("outage", "plan.toml", "--reports", "out"),
    "spread": ("spread", "plan.toml", "--samples", "20"),
    "compare": ("compare", "plan.toml", "--reports", "out", "--budget", "100"),
    "run": ("run", "plan.toml", "--reports", "out", "--samples", "20"),
    "table": ("table", "plan.toml", "--climate", "hours.csv", "--samples", "0", "--csv", "rows.csv", "--force"),
    "fit": ("fit", "plan.toml", "log.csv", "--out", "fitted.toml"),
    "steady": ("fit", "plan.toml", "--steady", "600 W, 12 degC, 4 degC", "--out", "fitted.toml"),
    "cooled": ("fit", "plan.toml", "--cooled", "12 degC, 9 degC, 2 degC, 10 h", "--out", "fitted.toml"),
}
OFTEN = ("check", "check", "check", "heater", "heater", *COMMANDS)
FACTORS = st.one_of(st.floats(-2.0, 2.0), st.floats(-0.15, 0.15))  # seldom sensible, and often, as powers of ten
MOST_S, MOST_KIB = 60.0, 1 << 20


def many(examples: int) -> settings:
    """Settings for so many examples, however long each takes."""
    return settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck), database=None)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A working folder with 16 days of weather in it."""
    place = tmp_path_factory.mktemp("fuzz")
    (place / "hours.csv").write_text(fuzz.short_weeks(), "utf-8")
    (place / "log.csv").write_text(fuzz.short_log(), "utf-8")
    before = Path.cwd()
    os.chdir(place)
    yield place
    os.chdir(before)


@st.composite
def plans(draw):
    """A ready plan on weeks of hours with one to four keys changed or gone."""
    name = draw(st.sampled_from(sorted(READY)))
    document = shortened(name)
    for _ in range(draw(st.integers(1, 4))):
        what = draw(st.sampled_from(["nudge", "nudge", "nudge", "nudge", "drop", "put"]))
        if what == "nudge":
            fuzz.nudge(document, draw(st.sampled_from(HELD[name])), 10.0 ** draw(FACTORS))
        elif what == "drop":
            fuzz.drop(document, draw(st.sampled_from(HELD[name])))
        else:
            fuzz.put(document, draw(st.sampled_from(KEYS)), draw(fuzz.VALUES))
    return document


def shortened(name):
    """A ready plan on hours of its own, with one measure."""
    document = copy.deepcopy(READY[name])
    document["climate"] = {"file": "hours.csv"}
    document["measure"] = document["measure"][:1]
    return document


def overlaid(draw, old, made):
    """A table with one to three keys of another; the other where one of them is no table with keys."""
    if not (isinstance(old, dict) and isinstance(made, dict) and made):
        return made
    keys = draw(st.lists(st.sampled_from(sorted(made)), min_size=1, max_size=3, unique=True))
    return {**old, **{key: made[key] for key in keys}}


@st.composite
def plans_of_the_schema(draw, drawn):
    """A ready plan with one to three of its tables as the schema allows them, or with a few of their keys."""
    by_table = draw(drawn)
    document = shortened(draw(st.sampled_from(sorted(READY))))
    for table in draw(st.lists(st.sampled_from(sorted(by_table)), min_size=1, max_size=3, unique=True)):
        if (made := draw(by_table[table])) is None:
            continue
        old = document.get(table)
        if isinstance(made, list) and made and isinstance(old, list) and old and draw(st.booleans()):
            document[table] = [overlaid(draw, old[0], made[0]), *old[1:]]
        else:
            document[table] = overlaid(draw, old, made) if draw(st.booleans()) else made
    return document


def memory_kib(name: str) -> int:
    """Memory of this process that Linux calls VmRSS (now) or VmHWM (the most since it was forgotten); 0 elsewhere."""
    status = Path("/proc/self/status")
    lines = status.read_text("utf-8").splitlines() if status.exists() else []
    return next((int(line.split()[1]) for line in lines if line.startswith(f"{name}:")), 0)


def forget_peak() -> None:
    """Let VmHWM begin anew, since tests before may have held more."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5", "utf-8")


def judged(folder: Path, text: str | bytes, command: str = "heater", answer_to: str = "answer.json") -> int:
    """The exit code of a command on a plan, after looking at all it printed, its time and its memory."""
    plan, answer = folder / "plan.toml", folder / "answer.json"
    plan.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "replace"))
    answer.unlink(missing_ok=True)
    (folder / "fitted.toml").unlink(missing_ok=True)
    before, held_kib = processor_s(), memory_kib("VmRSS")
    forget_peak()
    code, out, err = fuzz.ended(*COMMANDS[command], "--json", answer_to)
    assert code in (0, 2), (command, code, err)
    assert not fuzz.of_python(err), err
    if answer_to == "-" and code == 0:
        answer.write_text(out, "utf-8")
    else:
        assert not not_a_number(out), out
    assert processor_s() - before < MOST_S, command
    assert memory_kib("VmHWM") - held_kib < MOST_KIB, command
    if code == 2:
        assert err.strip(), "a fault without a word"
        assert len(err) < 20_000
    elif answer.exists():
        found = fuzz.read_json(answer)
        assert fuzz.finite(found)
        if command == "heater":
            assert isinstance(found["heater"]["needed_w"], float | int)
            assert found["closure"] < 1e-6
    return code


def not_a_number(out: str) -> bool:
    """Whether a text holds nan or inf, apart from what it quotes, such as a heading of the user's."""
    return bool(re.search(r"(?<![a-z])(nan|inf)(?![a-z])", re.sub(r"'[^'\n]*'", "", out), re.IGNORECASE))


def processor_s() -> float:
    """Processor time of this process and of the workers that it has ended. [s]"""
    return sum(os.times()[:4])


def _plan(folder, document, command="heater"):
    judged(folder, fuzz.toml(document), command)


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
        assert not not_a_number(out), out
    plan = (PLANS / "workshop.toml").read_text("utf-8").replace('series = "springfield-il"', 'file = "given.csv"')
    judged(folder, plan)
    with contextlib.suppress(OverwinterError):
        read_log(file)


def _log(folder, raw):
    (folder / "given.csv").write_bytes(raw)
    (folder / "plan.toml").write_text(fuzz.toml(shortened("garage-metric")), "utf-8")
    (folder / "fitted.toml").unlink(missing_ok=True)
    code, out, err = fuzz.ended("fit", "plan.toml", "given.csv", "--out", "fitted.toml")
    assert code in (0, 2), (code, out, err)
    assert not fuzz.of_python(err), err
    assert not not_a_number(out), out


@many(10)
@given(document=plans())
def test_plans_at_random(folder, document):
    _plan(folder, document)


@many(20)
@given(raw=st.binary(max_size=20), at=BYTES)
def test_plan_files_with_bytes_flipped(folder, raw, at):
    _plan_bytes(folder, raw, at)


@many(25)
@given(raw=fuzz.broken_csv(fuzz.short_weeks))
def test_broken_csvs(folder, raw):
    _csv(folder, raw)


@functools.cache
def by_schema(number):
    """Tables by the schema; the number chooses which values are free."""
    from tests.schema_plans import tables_by_schema

    return tables_by_schema(schema(), number)


@many(12)
@given(data=st.data())
def test_plans_that_the_schema_allows(folder, data):
    _plan(folder, data.draw(plans_of_the_schema(st.builds(by_schema, st.just(0)))), "check")


def test_parts_of_a_run_add_up_and_repeat_no_case(tmp_path, monkeypatch):
    from tests import run_fuzz

    for _ in range(2):  # the second part is the first again
        monkeypatch.setattr(
            "sys.argv", ["run_fuzz", "--plans", "6", "--files", "3", "--seed", "16", "--folder", str(tmp_path)]
        )
        assert run_fuzz.main() == 0
    found = json.loads((tmp_path / "counts.json").read_text("utf-8"))
    assert (found["drawn_plans"], found["wrong"]) == (12, 0)
    assert found["plans"] <= 6
    assert found["files"] == 3
    assert found["cases"] == len((tmp_path / "seen.txt").read_text("utf-8").split()) > found["plans"] + 3


@pytest.mark.slow
@many(int(os.environ.get("FUZZ_PLANS", 16_000)))
@given(document=plans(), command=st.sampled_from(OFTEN))
def test_every_command_on_plans_at_random(folder, document, command):
    _plan(folder, document, command)


@pytest.mark.slow
@many(int(os.environ.get("FUZZ_PLANS", 4_000)))
@given(data=st.data(), command=st.sampled_from(OFTEN))
def test_every_command_on_plans_that_the_schema_allows(folder, data, command):
    _plan(folder, data.draw(plans_of_the_schema(st.integers(0, 7).map(by_schema))), command)


@pytest.mark.slow
@many(int(os.environ.get("FUZZ_FILES", 1_000)))
@given(raw=fuzz.broken_csv())
def test_a_thousand_broken_weather_files(folder, raw):
    _csv(folder, raw)


@pytest.mark.slow
@many(int(os.environ.get("FUZZ_FILES", 1_000)))
@given(raw=fuzz.broken_csv(fuzz.short_log))
def test_a_thousand_broken_logs(folder, raw):
    _log(folder, raw)
