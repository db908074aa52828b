"""Bacteria and feeding through a winter: hours counted again, words, columns of the tables."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.case import hours_of
from thermal.analysis.feeding import feeding
from thermal.report.feeding_text import feeding_sentence, month_cells

QUICK = {
    "climate.winters": [2016], "climate.coldest_night": "none", "keep.floor": "5 degC",
    "keep.species": ["koi", "lettuce", "yellow perch"],
}  # fmt: skip


@pytest.fixture(scope="module")
def found(case_with):
    case = case_with(QUICK)
    run = case.simulate(case.heaters(np.array([0.0, 60.0])), hourly_output=True)
    tank_c = hours_of(case, run, 0).end(case.network.nodes.index("tank"), case.network.vessels.water_nodes)
    return feeding(case, run, 0), tank_c


def test_hours_are_those_of_the_temperatures_by_hand(found):
    """16.957 degC for a half and 8.913 degC for a quarter; koi feed from 10 degC on, lettuce is not fed."""
    result, tank_c = found
    assert result.hours_below_half == (tank_c < 16.957).sum()
    assert result.hours_below_quarter == pytest.approx((tank_c < 8.913).sum(), abs=3)
    assert 0 < result.hours_below_quarter < result.hours_below_half
    assert [animal.species for animal in result.animals] == ["koi", "yellow perch"]
    koi = result.animals[0]
    assert koi.stop_below_c == 10.0
    assert koi.hours == (tank_c < 10.0).sum()
    assert set(koi.months) == {month.month for month in result.months if month.mean_c < 10.0}
    assert sum(month.hours_below_half for month in result.months) == result.hours_below_half


def test_the_sentence_and_the_columns_say_it(found):
    result, _ = found
    said = feeding_sentence(result, "metric")
    assert said.startswith("Filter bacteria turn over less than half as much ammonia as at 25 °C for")
    assert f"Stop feeding koi below 10 °C: {result.animals[0].hours:,.0f} h" in said
    cells = month_cells(result, "us")
    assert len(cells) == len(result.months) == 7
    assert cells[0][0].endswith("°F")
    assert cells[0][1].endswith(" %")
