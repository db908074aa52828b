"""Files at random that are no plans: weather files, loggers' files, tables of many plans, and answers to `start`."""

from __future__ import annotations

import contextlib
import json
import math
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
from hypothesis import strategies as st

from tests import fuzz, test_fuzz
from thermal.analysis.table_row import COLUMNS, COUNTS, TEXTS
from thermal.climate.logger_csv import read_log
from thermal.errors import OverwinterError
from thermal.plan.questions import QUESTIONS

PLACES = ("garage", "two-car-garage", "detached-garage", "workshop", "shed", "basement", "cellar", "lean-to")


def run(*arguments: str) -> int:
    """The exit code of a command, after looking at what it printed."""
    code, out, err = fuzz.ended(*arguments)
    assert code in (0, 2), (arguments, code, out, err)
    assert not fuzz.of_python(err), err
    assert not re.search(r"(?<![a-z])(nan|inf)(?![a-z])", out, re.IGNORECASE), out
    if code == 2:
        assert err.strip(), "a fault without a word"
        assert len(err) < 20_000
    return code


def weather_file(place: Path, raw: bytes) -> int:
    """Add a CSV as a weather file, show it, and plan with it."""
    file = place / "given.csv"
    file.write_bytes(raw)
    for name in ("climates/given.toml", "climates/given.csv.gz"):
        (place / name).unlink(missing_ok=True)
    if run("climate", "add", "given.csv", "--name", "given", "--zone", "America/Chicago") == 0:
        run("climate", "show", "given")
    text = (test_fuzz.PLANS / "workshop.toml").read_text("utf-8")
    code = test_fuzz.judged(place, text.replace('series = "springfield-il"', 'file = "given.csv"'))
    with contextlib.suppress(OverwinterError):
        read_log(file)
    return code


def log(place: Path, raw: bytes) -> int:
    """Calibrate a plan to a CSV as a logger's file."""
    (place / "given.csv").write_bytes(raw)
    (place / "plan.toml").write_text(fuzz.toml(test_fuzz.shortened("garage-metric")), "utf-8")
    (place / "fitted.toml").unlink(missing_ok=True)
    return run("fit", "plan.toml", "given.csv", "--out", "fitted.toml")


def table(place: Path, raw: bytes) -> int:
    """Draw a map of a CSV as a table, and go on with it."""
    (place / "given.csv").write_bytes(raw)
    for name in ("map.png", "given.png"):
        (place / name).unlink(missing_ok=True)
    code = run("map", "given.csv", "--out", "map.png")
    (place / "plan.toml").write_text(fuzz.toml(test_fuzz.shortened("garage-metric")), "utf-8")
    run("table", "plan.toml", "--samples", "0", "--csv", "given.csv", "--resume")
    return code


def start(place: Path, raw: bytes) -> int:
    """Write a plan from answers at random, and check it."""
    pairs: list[tuple[int, str]] = json.loads(raw)
    answers = [f"{QUESTIONS[number % len(QUESTIONS)].key}={value}" for number, value in pairs]
    arguments = [part for answer in answers for part in ("--answer", answer.replace("\0", ""))]
    room = PLACES[sum(number for number, _ in pairs) % len(PLACES)]
    (place / "arguments.txt").write_text(repr([room, *answers]), "utf-8", "replace")
    code = run("start", "plan.toml", "--place", room, "--yes", "--force", *arguments)
    if code == 0:
        run("check", "plan.toml")
    return code


# A town's monthly means, record low and height: half of them possible.
MEANS = st.one_of(
    st.tuples(
        st.tuples(st.floats(-5.0, 20.0), st.floats(0.5, 20.0)).map(
            lambda town: [round(town[0] - town[1] * math.cos(month * math.pi / 6.0), 1) for month in range(12)]
        ),
        st.sampled_from([None, None, None, "-27 degC", "-17 degF", "-5 degC"]),
        st.sampled_from([None, 0, 350, 4000]),
    ),
    st.tuples(
        st.lists(st.floats(-40.0, 45.0) | fuzz.LEAVES, min_size=11, max_size=13),
        st.none() | fuzz.LEAVES,
        st.none() | st.integers(-500, 7000),
    ),
    st.tuples(
        st.lists(st.floats(-3.0, 30.0), min_size=12, max_size=12),
        st.sampled_from([None, "-27 degC"]) | fuzz.LEAVES,
        st.none() | fuzz.LEAVES,
    ),
)


def means(place: Path, raw: bytes) -> int:
    """Adapt a year of weather to monthly means, a record low and a height, and show what was written."""
    monthly, low, high = json.loads(raw)
    if not (place / "climates" / "year.toml").exists():
        (place / "year.csv").write_text(a_year(), "utf-8")
        assert run("climate", "add", "year.csv", "--name", "year", "--zone", "America/Chicago") == 0
    for name in ("climates/given.toml", "climates/given.csv.gz"):
        (place / name).unlink(missing_ok=True)
    arguments = ["--monthly-mean", ", ".join(map(str, monthly))]
    arguments += [] if low is None else ["--record-low", str(low)]
    arguments += [] if high is None else ["--elevation", str(high)]
    arguments = [argument.replace("\0", "") for argument in arguments]
    (place / "arguments.txt").write_text(repr(arguments), "utf-8", "replace")
    code = run("climate", "adapt", "year", "--name", "given", *arguments)
    if code == 0:
        run("climate", "show", "given")
    return code


@cache
def a_year() -> str:
    """A year of made-up hours, from July to June."""
    stamps = pd.date_range("2016-07-01", "2017-06-30 23:00", freq="h", tz="UTC")
    k = np.arange(len(stamps))
    air = 8.0 + 12.0 * np.cos(k / 8760 * 2 * np.pi) + 4.0 * np.sin(k / 24 * 2 * np.pi) + 5.0 * np.sin(k / 150.0)
    return "time_utc,air_c\n" + "".join(
        f"{stamp:%Y-%m-%dT%H:%MZ},{c:.1f}\n" for stamp, c in zip(stamps, air, strict=True)
    )


@cache
def tables() -> str:
    """Thirty rows of a table of many plans as a CSV, with numbers of no plan."""
    chance = np.random.default_rng(1)
    lines = [
        ",".join(
            name if name in TEXTS else str(int(value)) if name in COUNTS else f"{value:.1f}"
            for name, value in zip(COLUMNS, row, strict=True)
        )
        for row in chance.uniform(1.0, 60.0, (30, len(COLUMNS)))
    ]
    return "\n".join([",".join(COLUMNS), *lines]) + "\n"


@st.composite
def tables_with_changed_cells(draw: st.DrawFn) -> bytes:
    """A table with one to five cells below its heading changed."""
    lines = [line.split(",") for line in tables().splitlines()]
    for _ in range(draw(st.integers(1, 5))):
        line = lines[draw(st.integers(1, len(lines) - 1))]
        line[draw(st.integers(0, len(COLUMNS) - 1))] = draw(fuzz.JUNK | fuzz.LEAVES.map(str))
    return "".join(",".join(line) + "\n" for line in lines).encode("utf-8", "replace")


FILE_CASES: dict[str, Callable[[Path, bytes], int]] = {
    "weather file": weather_file, "log": log, "table file": table, "start": start, "means": means,
}  # fmt: skip
