"""Names and currencies that mean something to matplotlib, a spreadsheet or a terminal: they are shown as written."""

from __future__ import annotations

import csv
import io

import pandas as pd
import pytest

from tests import fuzz
from tests.test_hardening import folder, short_plan
from thermal.climate.library import read_header
from thermal.core.shown_text import LONGEST_LINE, printable, printable_lines
from thermal.errors import ClimateError
from thermal.report.csv_text import csv_text

_ = folder  # a fixture
FORMULAS = ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", " =1+1"]


@pytest.mark.parametrize(
    ("text", "shown"), [*((text, f"'{text}") for text in FORMULAS), ("\t=1", "\\t=1"), ("\r=1", "\\r=1")]
)
def test_no_cell_of_a_csv_is_a_formula(text, shown):
    """The characters are those that OWASP's page "CSV Injection" lists; a spreadsheet shows a text after '."""
    table = pd.DataFrame({"name": [text, "plain"], text: [-1.5, 2.0]}, index=["a", "b"])
    rows = list(csv.reader(io.StringIO(csv_text(table, "row"))))
    assert rows == [["row", "name", shown], ["a", shown, "-1.5"], ["b", "plain", "2.0"]]
    assert table.columns[1] == text, "the table itself is unchanged"


def test_dollars_and_formulas_in_a_plan_are_text(folder):
    """Found by hand: a currency of $#$ ended `run` in matplotlib's reader of mathematics."""
    plan = short_plan().replace('name = "', 'name = "=$x_{$ ', 1)
    plan = plan.replace("[power]", '[power]\ncurrency = "$\\\\x{$"').replace('currency = "USD"\n', "")
    plan += '[[measure]]\nname = "=$\\\\frac$"\ncost = 1\nset = { "room.air_changes" = 0.3 }\n'
    (folder / "plan.toml").write_text(plan, "utf-8")
    code, _, err = fuzz.ended("compare", "plan.toml")
    assert code == 0, err
    for path in folder.rglob("*.csv"):
        if path.name != "hours.csv":
            cells = [cell for row in csv.reader(io.StringIO(path.read_text("utf-8"))) for cell in row]
            assert not [cell for cell in cells if cell[:1] in "=+@\t" and cell], path
            assert not [cell for cell in cells if cell.startswith("-") and not cell[1:2].isdigit()], path
    assert "'=$\\frac$" in next(folder.rglob("packages.csv")).read_text("utf-8")


def test_a_header_cannot_steer_a_terminal(tmp_path):
    header = tmp_path / "x.toml"
    header.write_text('place = "\\u001b[31mred"\nsource = "\\u202e"\nlatitude = 40\n', "utf-8")
    assert read_header(tmp_path / "x.csv.gz").place == "\\x1b[31mred"
    assert read_header(tmp_path / "x.csv.gz").source == "\\u202e"


@pytest.mark.parametrize(
    "line", ['latitude = "north"', "place = 5", "elevation_m = true", 'place = "' + "x" * 3000 + '"', "latitude = nan"]
)
def test_a_header_of_other_kinds_is_refused(tmp_path, line):
    """Without a check, a text in place of a number ended in a traceback."""
    (tmp_path / "x.toml").write_text(line + "\n", "utf-8")
    with pytest.raises(ClimateError, match=r"is not accepted; write (a number|a text)") as fault:
        read_header(tmp_path / "x.csv")
    assert len(str(fault.value)) < 300


def test_messages_are_printable():
    assert printable("a\x1b[2J\x9b\u202eé–\n") == "a\\x1b[2J\\x9b\\u202eé–\\n"
    shown = printable_lines("one\x07\n" + "x" * 10_000)
    assert shown.startswith("one\\x07\nxxx")
    assert len(shown) < LONGEST_LINE + 10
