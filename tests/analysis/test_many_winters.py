"""Chances from many winters, and the winters that a short table shows, on made-up winters."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from tests.report.test_language import faults
from thermal.analysis.many_winters import chances, shown_winters
from thermal.analysis.results import UnheatedWinter, WinterCost, WinterEnergy
from thermal.report.winters_text import chances_sentence, chances_table


def winter(label: int, water_c: float, outdoors_c: float, hours: float) -> UnheatedWinter:
    return UnheatedWinter(str(label), water_c, "2001-01-01T00:00:00", hours, 0.0, 0.0, outdoors_c)


def season(kwh: list[float], complete: list[bool], median: int, worst: int) -> WinterEnergy:
    bills = tuple(
        WinterCost(str(2000 + i), whole, energy, 0.25 * energy, 0.0, 0.0)
        for i, (energy, whole) in enumerate(zip(kwh, complete, strict=True))
    )
    return WinterEnergy(bills, median, worst, (), "", 0.0, {}, False, {})


# Eleven complete winters: by the definition, one in ten lies at rank 1 + 0.9 * 10 = 10 of 11, which is a winter itself.
KWH = [700.0, 100.0, 200.0, 900.0, 400.0, 1100.0, 600.0, 300.0, 800.0, 1000.0, 500.0]
UNHEATED = tuple(winter(2000 + i, 12.0 - i, -2.0 * i, 0.0 if i < 2 else 10.0 * i) for i in range(11))


def test_one_in_ten_is_the_tenth_of_eleven_and_each_figure_has_its_own_rank():
    record = chances(UNHEATED, season(KWH, [True] * 11, 6, 5))
    assert (record.winters, record.missed, record.worst_label) == (11, 9, "2005")
    assert record.typical.kwh == pytest.approx(sorted(KWH)[5])
    assert record.one_in_ten.kwh == pytest.approx(sorted(KWH)[9])
    assert record.worst.kwh == pytest.approx(1100.0)
    assert record.one_in_ten.coldest_outdoors_c == pytest.approx(-18.0)  # the second coldest of 0 to -20
    assert record.worst.coldest_outdoors_c == pytest.approx(-20.0)
    assert record.one_in_ten.coldest_unheated_c == pytest.approx(3.0)


def test_an_incomplete_winter_counts_for_nothing_and_ten_are_needed():
    twelve = (*UNHEATED, winter(2011, -9.0, -40.0, 999.0))
    record = chances(twelve, season([*KWH, 9999.0], [True] * 11 + [False], 6, 5))
    assert record == chances(UNHEATED, season(KWH, [True] * 11, 6, 5))
    assert chances(UNHEATED[:9], season(KWH[:9], [True] * 9, 0, 5)) is None


def test_a_short_table_has_the_coldest_typical_dearest_and_mildest():
    marks = shown_winters(UNHEATED, season(KWH, [True] * 11, 6, 5), coldest=10)
    assert marks == {10: ["coldest"], 6: ["typical"], 5: ["dearest"], 1: ["mildest"]}
    both = shown_winters(UNHEATED, season(KWH, [True] * 11, 6, 5), coldest=5)
    assert both[5] == ["coldest", "dearest"]
    assert len(both) == 3


@pytest.mark.parametrize(("units", "cold"), [("metric", "-20.0 °C"), ("us", "-4.0 °F")])
def test_the_sentence_says_how_often_and_how_much_more(units, cold):
    plan = SimpleNamespace(units=units, keep=SimpleNamespace(floor_c=10.0), power=SimpleNamespace(currency="EUR"))
    assessment = SimpleNamespace(
        chances=chances(UNHEATED, season(KWH, [True] * 11, 6, 5)), case=SimpleNamespace(plan=plan)
    )
    text = chances_sentence(assessment)
    assert "in 9 of 11 winters" in text
    assert cold in text
    assert "at least 67 % more heating" in text  # 1,000 over 600 kWh
    assert "2005, takes 83 % more" in text
    assert [row[-1] for row in chances_table(assessment).cells] == ["150", "250", "275"]
    assert faults(text) == []
