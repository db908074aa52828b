"""Plans and CSVs at random, and the commands run on them as a user would run them."""

from __future__ import annotations

import contextlib
import gzip
import io
import json
import re
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
import pandas as pd
from hypothesis import strategies as st

from thermal.cli import main

QUANTITIES = (
    "0.3 m", "1.2 m", "4 ft", "12 in", "0.02 m", "3 m2", "40 ft2", "250 gal", "1500 L/h", "300 gph", "25 W", "1.2 kW",
    "R-10", "R 2.5", "U 0.3", "XPS 50 mm", "polyethylene 6 mm", "12 degC", "41 degF", "-5 degC", "40 %", "0.5",
    "always", "never", "22:00-06:00", "water", "room", "outdoors", "house", "attic", "ground", "slab", "frame",
    "15 A 120 V", "10 A 230 V", "open", "snug foam lid", "gravel", "tight", "leaky", "20 kg/h", "3 acres",
)  # fmt: skip
NUMBERS = st.one_of(
    st.integers(-(2**63), 2**63 - 1),
    st.integers(-3, 40),
    st.floats(),
    st.floats(-1.0, 60.0),
    st.sampled_from([0, 1e308]),
)
LEAVES = st.one_of(
    st.sampled_from(QUANTITIES), NUMBERS, st.booleans(), st.text(max_size=12), st.just(""), st.just("x" * 500)
)
VALUES = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=4,
)  # fmt: skip
Path_ = tuple[str | int, ...]


def ended(*arguments: str) -> tuple[int, str, str]:
    """Exit code, standard output and error stream of a command; a traceback is the test's."""
    out, err = io.StringIO(), io.StringIO()
    with (
        mock.patch.object(sys, "argv", ["overwinter", *arguments]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main()
            code = 0
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 0 if end.code is None else 1
    return code, out.getvalue(), err.getvalue()


def of_python(err: str) -> bool:
    """Whether an error stream holds a traceback or a warning of Python, which says nothing to a grower."""
    return "Traceback" in err or bool(re.search(r"^\S+\.py:\d+: \w*Warning: ", err, re.MULTILINE))


def places(node: Any, here: Path_ = ()) -> list[Path_]:
    """Every key and list entry of a document, as a path."""
    below = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    return [path for key, value in below for path in [(*here, key), *places(value, (*here, key))]]


def schema_keys(schema: dict[str, Any]) -> list[Path_]:
    """Every key that plans may have, lists entered at their first entry."""
    named = schema["$defs"]

    def under(node: dict[str, Any], here: Path_) -> list[Path_]:
        for one in (node, *node.get("anyOf", ())):
            if "$ref" in one:
                return under(named[one["$ref"].rsplit("/", 1)[1]], here)
            if "items" in one:
                return under(one["items"], (*here, 0))
        return [
            path
            for key, value in node.get("properties", {}).items()
            for path in [(*here, key), *under(value, (*here, key))]
        ]

    return under(schema, ())


def put(document: dict[str, Any], path: Path_, value: Any) -> None:
    """Set what stands at a path, making what is missing on the way; paths that lead through a value do nothing."""
    node: Any = document
    for step, following in pairwise(path):
        empty: Any = [] if isinstance(following, int) else {}
        if isinstance(node, dict) and isinstance(step, str):
            node = node.setdefault(step, empty)
        elif isinstance(node, list) and isinstance(step, int):
            node.extend({} for _ in range(step + 1 - len(node)))
            node = node[step]
        else:
            return
    last = path[-1]
    if (isinstance(node, dict) and isinstance(last, str)) or (
        isinstance(node, list) and isinstance(last, int) and last < len(node)
    ):
        node[last] = value


def nudge(document: dict[str, Any], path: Path_, factor: float) -> None:
    """Multiply the first number of what stands at a path, if there is one: still well-formed, seldom sensible."""
    node: Any = document
    for step in path:
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            return
    if isinstance(node, str) and (number := re.search(r"\d+(?:\.\d+)?", node)):
        put(document, path, node[: number.start()] + f"{float(number[0]) * factor:.3g}" + node[number.end() :])
    elif isinstance(node, int | float) and not isinstance(node, bool):
        put(document, path, node * factor)


def drop(document: dict[str, Any], path: Path_) -> None:
    """Take out what stands at a path, if anything."""
    node: Any = document
    for step in path[:-1]:
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            return
    with contextlib.suppress(KeyError, IndexError, TypeError):
        del node[path[-1]]


def toml(document: dict[str, Any]) -> str:
    """A document as TOML, one key a line and everything below it inline."""
    return "".join(f"{_text(key)} = {_inline(value)}\n" for key, value in document.items())


def _text(text: str) -> str:
    return json.dumps(text.encode("utf-8", "replace").decode(), ensure_ascii=False).replace("\x7f", "\\u007f")


def _inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(key)} = {_inline(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_inline, value)) + "]"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, bool):
        return str(value).lower()
    return repr(value)  # ints, and floats with inf and nan as TOML has them


def short_hours() -> str:
    """A month of a winter as a CSV."""
    stamps = pd.date_range("2016-12-20", "2017-01-20", freq="h", tz="UTC")
    k = np.arange(len(stamps))
    air = -3.0 + 5.0 * np.sin(k / 24 * 2 * np.pi) + 6.0 * np.sin(k / 150.0)
    rows = (
        f"{stamp:%Y-%m-%dT%H:%MZ},{c:.1f},{70 + 20 * np.cos(n):.0f}" for n, stamp, c in zip(k, stamps, air, strict=True)
    )
    return "time_utc,air_c,rh_pct\n" + "\n".join(rows) + "\n"


def short_weeks() -> str:
    """The first 16 days of that month, two more than a winter must have."""
    return "\n".join(short_hours().splitlines()[: 1 + 24 * 16]) + "\n"


def short_log() -> str:
    """Two weeks of a logger in a heated tank as a CSV."""
    stamps = pd.date_range("2016-12-21", periods=14 * 24, freq="h")
    k = np.arange(len(stamps))
    outdoor = -3.0 + 5.0 * np.sin(k / 24 * 2 * np.pi)
    water, watts = 11.0 + 0.3 * np.sin(k / 9.0), 500.0 - 30.0 * outdoor
    rows = (
        f"{stamp:%Y-%m-%d %H:%M},{w:.2f},{0.5 * (w + out):.2f},{out:.1f},{power:.0f}"
        for stamp, w, out, power in zip(stamps, water, outdoor, watts, strict=True)
    )
    return "time,water,room,outdoor,watts\n" + "\n".join(rows) + "\n"


JUNK = st.one_of(
    st.sampled_from(["", "nan", "inf", "-inf", "1e999", "9" * 400, "-", "NULL", "3,5", "-99.9", "9999"]),
    st.sampled_from(['"', "\x00", "\t", ";", "é"]),
    st.text(max_size=6),
    st.floats().map(str),
)  # fmt: skip
STAMPS = st.one_of(
    st.sampled_from([
        "0001-01-01T00:00Z", "9999-12-31T23:00Z", "1700-01-01", "2016-13-45", "20161220 00", "1482192000",
        "12/31/2016 5 PM",
        "2016-12-20T24:00Z", "2016-12-20T05:30:00+05:30", "31.12.2016 23:00",
    ]),
    JUNK,
)  # fmt: skip


@st.composite
def broken_csv(draw: st.DrawFn, whole: Callable[[], str] = short_hours) -> bytes:
    """A CSV of hours with a few things done to it."""
    lines = whole().splitlines()
    for _ in range(draw(st.integers(1, 3))):
        n = draw(st.integers(0, len(lines) - 1)) if lines else 0
        what = draw(st.sampled_from(["cell", "stamp", "heading", "cut", "repeat", "reverse", "column", "none", "line"]))
        if not lines:
            break
        cells = lines[n].split(",")
        if what == "cell":
            cells[draw(st.integers(0, len(cells) - 1))] = draw(JUNK)
        elif what == "stamp":
            cells[0] = draw(STAMPS)
        elif what == "heading":
            lines[0] = ",".join(
                draw(st.lists(st.sampled_from(["time", "date", "temp_f", "air_c", "T", "rh", ""]), max_size=4))
            )
        elif what == "cut":
            del lines[n:]
        elif what == "repeat":
            lines[n:n] = lines[: draw(st.integers(1, 300))]
        elif what == "reverse":
            lines.reverse()
        elif what == "column":
            lines = [",".join(line.split(",")[::-1]) for line in lines]
        elif what == "line":
            lines.insert(n, draw(JUNK))
        if what in ("cell", "stamp"):
            lines[n] = ",".join(cells)
    text = draw(st.sampled_from(["\n", "\n", "\r\n", "\r"])).join(lines)
    if draw(st.integers(0, 4)) == 0:
        text = text.replace(",", ";").replace(".", ",")
    raw = text.encode(draw(st.sampled_from(["utf-8", "utf-8", "utf-8-sig", "latin-1", "utf-16"])), "replace")
    if draw(st.integers(0, 4)) == 0:
        raw = gzip.compress(raw)
    for _ in range(draw(st.sampled_from([0, 0, 0, 1, 2]))):
        at = draw(st.integers(0, max(len(raw) - 1, 0)))
        raw = (
            raw[:at] if draw(st.integers(0, 3)) == 0 else raw[:at] + bytes([draw(st.integers(0, 255))]) + raw[at + 1 :]
        )
    return raw


def finite(value: Any) -> bool:
    """Whether no number in a JSON value is other than finite."""
    if isinstance(value, dict):
        return all(map(finite, value.values()))
    if isinstance(value, list):
        return all(map(finite, value))
    return not isinstance(value, float) or bool(np.isfinite(value))


def read_json(path: Path) -> Any:
    """A file's JSON; numbers that JSON has not are an error."""

    def refuse(name: str) -> None:
        raise ValueError(f"{path} holds {name}")

    return json.loads(path.read_text("utf-8"), parse_constant=refuse)
