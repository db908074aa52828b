"""A row of `table` holds the figures of its plan: made-up ones here, each with a value of its own."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from thermal.analysis.work_unit import Job, row_of

BANDS = {"needed_w": (700.0, 900.0), "kwh": (1100.0, 1500.0), "cost": (165.0, 225.0)}


def answered(*, complete: int = 3, samples: bool = True) -> SimpleNamespace:
    """The figures of a plan whose verdict is yes."""
    power, climate = SimpleNamespace(currency="EUR"), SimpleNamespace(series="lorraine-fr", file="")
    bands = {name: SimpleNamespace(low=low, high=high) for name, (low, high) in BANDS.items()}
    result = SimpleNamespace(
        needed_w=812.34, outage_h=31.5, kwh=1320.0, cost=198.0, worst_kwh=1710.0, worst_cost=256.5, mould_h=40.0
    )
    return SimpleNamespace(
        case=SimpleNamespace(
            plan=SimpleNamespace(title="Perch", power=power, climate=climate),
            climate=SimpleNamespace(header=SimpleNamespace(has_position=True, latitude=48.5, longitude=6.0)),
            weather=SimpleNamespace(winters=("a", "b", "c", "d")),
            season=SimpleNamespace(complete=complete, has_median=complete > 1),
        ),
        result=result,
        uncertainty=SimpleNamespace(bands=bands) if samples else None,
        coldest_unheated_c=-1.25,
        verdict=SimpleNamespace(ok=True, inhabitants=()),
        buy_w=(600.0, 400.0),
    )


JOB = Job("my.toml", "", "", "", (("tank.top", "open"),), "", "k")


def test_every_figure_of_a_row_is_that_of_its_plan():
    row = row_of(JOB, answered(), 200)
    assert (row.heater_needed_w, row.outage_h, row.coldest_unheated_c) == pytest.approx((812.34, 31.5, -1.25))
    assert (row.typical_kwh, row.typical_cost, row.worst_kwh, row.worst_cost) == (1320.0, 198.0, 1710.0, 256.5)
    assert (row.heater_needed_w_low, row.heater_needed_w_high) == BANDS["needed_w"]
    assert (row.typical_kwh_low, row.typical_kwh_high) == BANDS["kwh"]
    assert (row.typical_cost_low, row.typical_cost_high) == BANDS["cost"]
    assert (row.worst_kwh_low, row.worst_cost_high) == (None, None)  # it has no band
    assert (row.buy_w, row.mould_h, row.samples, row.latitude, row.longitude) == (1000.0, 40.0, 200, 48.5, 6.0)
    assert (row.winters, row.complete_winters) == (4, 3)
    assert (row.plan, row.climate, row.setting, row.currency) == ("my.toml", "lorraine-fr", "tank.top=open", "EUR")


def test_a_row_leaves_out_the_winter_that_its_weather_does_not_hold():
    row = row_of(JOB, answered(complete=0, samples=False), 0)
    assert (row.typical_kwh, row.typical_cost, row.worst_kwh, row.worst_cost) == (None, None, None, None)
    assert (row.heater_needed_w, row.heater_needed_w_low) == (812.34, None)
