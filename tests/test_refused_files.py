"""Names that want out of their folder, and files that are no tables: refused in words, before they are read."""

from __future__ import annotations

import json
import os
import re
import time
from pathlib import Path

import pytest

from tests import fuzz
from tests.test_hardening import folder, short_plan

_ = folder  # a fixture


@pytest.mark.parametrize("name", ["../../x", "/tmp/x", "a/b", "..", ".", "", "a" * 200, "con\x00", "Ünï"])
def test_series_names_stay_in_their_folder(folder, name):
    before = sorted(folder.rglob("*"))
    code, _, _ = fuzz.ended("climate", "add", "hours.csv", f"--name={name}")
    assert code == 2
    assert sorted(folder.rglob("*")) == before
    plan = short_plan().replace('file = "hours.csv"', f"series = {json.dumps(name)}")
    (folder / "plan.toml").write_text(plan, "utf-8")
    code, _, err = fuzz.ended("heater", "plan.toml")
    assert code == 2, err


@pytest.mark.parametrize("title", ["../../../etc/passwd", "/", "..", "\\\\server\\share", "a" * 200, "<b>&amp;"])
def test_titles_stay_in_the_reports_folder(folder, title):
    plan = re.sub(r"^title = .*$", lambda _: f"title = {json.dumps(title)}", short_plan(), flags=re.MULTILINE)
    (folder / "plan.toml").write_text(plan, "utf-8")
    code, _, err = fuzz.ended("outage", "plan.toml", "--reports", "out")
    assert code == 0, err
    card = next(folder.rglob("outage-card.html"))
    assert card.parent.parent == folder / "out"


@pytest.mark.parametrize("kind", ["device", "pipe", "folder"])
def test_what_is_no_file_is_refused_before_it_is_read(folder, kind):
    """Found by hand: /dev/zero and a pipe were read without end."""
    place = folder / "given"
    if kind == "pipe":
        os.mkfifo(place)
    elif kind == "folder":
        place.mkdir()
    place = Path("/dev/zero") if kind == "device" else place
    text = (folder / "plan.toml").read_text("utf-8").replace('file = "hours.csv"', f'file = "{place}"')
    (folder / "plan.toml").write_text(text, "utf-8")
    for arguments in (
        ("check", "plan.toml"),
        ("heater", "plan.toml"),
        ("climate", "add", str(place), "--name", "x"),
        ("fit", "plan.toml", str(place)),
        ("check", str(place)),
    ):
        begun = time.monotonic()
        code, _, err = fuzz.ended(*arguments)
        assert code == 2, (arguments, err)
        assert re.search("a device or a pipe|a folder|Is a directory", err), err
        assert time.monotonic() - begun < 10


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('file = "hours.csv"', 'series = "springfeld-il"', "did you mean 'springfield-il'"),
        ('file = "hours.csv"', 'file = "hour.csv"', "hour.csv: cannot be read"),
        ('file = "hours.csv"', 'file = "hours.csv"\nwinters = [1999]', "1999"),
    ],
)
def test_check_finds_a_typo_in_the_climate(folder, old, new, said):
    """`check` once accepted a weather file that `run` then did not find."""
    assert fuzz.ended("check", "plan.toml")[0] == 0
    text = (folder / "plan.toml").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("winters")]
    (folder / "plan.toml").write_text("\n".join(lines).replace(old, new), "utf-8")
    code, _, err = fuzz.ended("check", "plan.toml")
    assert code == 2
    assert said in err


@pytest.mark.parametrize(
    ("tail", "said"),
    [
        (
            "2017-01-20T01:00Z," + "1" * (2 << 20) + ",5\n",
            "(line 747: a cell|a line) has 2,097,",
        ),
        (
            '2017-01-20T01:00Z,"' + "a," * (1 << 20) + '",5\n',
            "(line 747: a cell|a line) has 2,097,",
        ),
        ('"' + "2017-01-20T01:00Z,1,5\n" * 70_000, "EOF inside string"),
        ("," * 2_000 + "\n", "at most 1,000 are allowed|Expected 3 fields|not a table"),
    ],
    ids=["long", "quoted", "not closed", "columns"],
)
def test_a_cell_of_a_csv_has_a_mebibyte(folder, tail, said):
    text = fuzz.short_hours() + tail
    if tail.startswith(","):
        text = "".join(line + "," * 2_000 + "\n" for line in text.splitlines()[:60])
    (folder / "hours.csv").write_text(text, "utf-8")
    for arguments in (
        ("heater", "plan.toml"),
        ("climate", "add", "hours.csv", "--name", "long"),
        ("fit", "plan.toml", "hours.csv"),
    ):
        code, out, err = fuzz.ended(*arguments)
        assert code == 2, (arguments, out[:300])
        assert re.search(said, err), err
        assert len(out + err) < 400
