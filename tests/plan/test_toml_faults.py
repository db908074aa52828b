"""Faults of TOML that users make, in plain words with their line: finding 20, typed by three strangers."""

from __future__ import annotations

import pytest

from thermal.errors import PlanError
from thermal.plan.reader import read_document


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("title = “My tank”", "quotes are curly"),
        ("price == 0.17", "write one: price = 0.17"),
        ('file = "C:\\Users\\me\\hours.csv"', "backslash"),
        ('file = "C:\\xfoo"', "backslash"),
        ("floor = 10 degC", 'write floor = "10 degC"'),
        ("price = 0,17", 'write price = "0,17"'),
        ("units = metric", 'write units = "metric"'),
        ("[keep]", "[keep] stands twice"),
        ("a = 1", "a stands twice"),
    ],
)
def test_a_common_fault_is_named_with_its_line(tmp_path, line, words):
    before = "" if line != "a = 1" else "a = 2\n"
    path = tmp_path / "plan.toml"
    path.write_text(f"# first\n[keep]\nb = 1\n{before}{line}\n", "utf-8")
    with pytest.raises(PlanError, match=r"line \d") as caught:
        read_document(path)
    (fault,) = caught.value.faults
    assert words in fault
    assert f"The line is: {line}" in fault
    assert f"line {4 + bool(before)}:" in fault


def test_a_long_line_is_cut(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text("a = = " + "x" * 5000, "utf-8")
    with pytest.raises(PlanError) as caught:
        read_document(path)
    assert len(caught.value.faults[0]) < 250


def test_every_faulty_line_is_named_at_once(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text('title = “a”\nb = "fine"\nprice == 1\n[keep]\nfloor = 10 degC\n', "utf-8")
    with pytest.raises(PlanError) as caught:
        read_document(path)
    assert [fault.split(":")[0] for fault in caught.value.faults] == ["line 1", "line 3", "line 5"]
