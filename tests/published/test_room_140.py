"""Rooms of ANSI/ASHRAE 140 by the engine: each figure within what is allowed around the range of six programs."""

from __future__ import annotations

import json

import pandas as pd
import pytest

from tests.published.room_140 import FOLDER, FREE, OPAQUE, Row, main, rows_of

STEPS_AN_HOUR = {OPAQUE: 2, FREE: 1}  # the report takes 4; less is enough to stay where it says


@pytest.mark.parametrize("path", STEPS_AN_HOUR, ids=lambda path: path.stem)
def test_every_figure_is_near_the_range_of_six_programs(path):
    rows = rows_of(path, STEPS_AN_HOUR[path])
    assert len(rows) == {OPAQUE: 32, FREE: 6}[path]
    far = [(row.case, row.key, row.verdict) for row in rows if row.is_judged_out]
    assert far == []
    annual = [row for row in rows if not row.key.startswith("peak")]
    assert [(row.case, row.key, row.verdict) for row in annual if row.outside] == []


@pytest.mark.parametrize(
    ("key", "ours", "outside", "verdict", "is_out"),
    [
        ("annual_heating_mwh", 5.0, 0.0, "in range", False),
        ("annual_heating_mwh", 6.15, 0.15, "0.150 MWh (2.5 %) above", False),
        ("annual_heating_mwh", 6.3, 0.3, "0.300 MWh (5.0 %) above", True),
        ("annual_heating_mwh", 3.8, -0.2, "0.200 MWh (5.0 %) below", True),
        ("max_c", 6.04, 0.0, "in range", False),
        ("max_c", 6.3, 0.3, "0.3 degC above", True),
    ],
)
def test_what_is_said_of_a_figure(key, ours, outside, verdict, is_out):
    row = Row("case", key, ours, 4.0, 6.0)
    assert (row.outside, row.verdict, row.is_judged_out) == (outside, verdict, is_out)


def test_little_cooling_may_be_further_outside():
    assert not Row("case", "annual_cooling_mwh", 0.04, 0.01, 0.02).is_judged_out
    assert Row("case", "annual_cooling_mwh", 0.06, 0.01, 0.02).is_judged_out


def test_a_file_with_a_figure_too_far_outside_ends_with_1(tmp_path, capsys):
    """One case of the file, whose heating range is moved away, in thirty days of its weather."""
    document = json.loads(OPAQUE.read_text("utf-8"))
    case = document["cases"]["395"]
    case["expected"] = {"annual_heating_mwh": {"min": 90.0, "max": 91.0}}
    file = tmp_path / "one.json"
    file.write_text(json.dumps({**document, "cases": {"395": case}, "differences": {}}), "utf-8")
    weather = "denver_725650_tmy3.csv.gz"
    pd.read_csv(FOLDER / weather, nrows=30 * 24).to_csv(tmp_path / weather, index=False)
    assert main([str(file)]) == 1
    assert "0 of 1 in range, 1 further outside than allowed" in capsys.readouterr().out
    assert main([]) == 2
