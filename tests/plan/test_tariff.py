from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.analysis.design_results import design_results
from thermal.analysis.drying_results import drying_w
from thermal.analysis.plan_weather import scene_of
from thermal.analysis.winter_energy import winter_energy
from thermal.analysis.winter_totals import other_w
from thermal.plan.reader import plan_of
from thermal.plan.tariff import hourly_price, tiered_cost


def test_tiers_charge_what_the_month_has_not_used(workshop):
    """Common practice, no source: 100 kWh at 0.10, above 0.30, 40 kWh taken by the house already."""
    workshop["power"] |= {"price": 0.10, "tier": [{"above": "100 kWh", "price": 0.30}], "household": "40 kWh"}
    power = plan_of(workshop).power
    assert tiered_cost(power, np.array([40.0]), np.array([50.0])) == pytest.approx([5.0])
    assert tiered_cost(power, np.array([40.0]), np.array([100.0])) == pytest.approx([6.0 + 12.0])
    assert tiered_cost(power, np.array([140.0]), np.array([10.0])) == pytest.approx([3.0])


def test_tariff_costs_equal_a_group_by_of_hours(workshop, monkeypatch):
    monkeypatch.setattr("thermal.analysis.winter_pieces.JOIN_SHARE", -1.0)  # whole winters, to compare every digit
    monkeypatch.setattr("thermal.analysis.winter_pieces.JOIN_LEAST_J", -1.0)
    workshop["power"]["period"] = [{"months": [12, 1, 2], "hours": "17:00-19:30", "price": 0.40}]
    workshop["measure"] = []
    case = scene_of(plan_of(workshop))
    one = design_results(case, [case.plan])[0]
    run = case.simulate(case.heaters(np.array([sum(one.installed_w)])), hourly_output=True)
    winter = next(i for i, season in enumerate(case.weather.winters) if season.complete)
    times = case.weather.winters[winter].times()
    kwh = pd.Series(run.hourly_output.heater_w[: len(times), winter] / 1000.0, index=times)
    by_month = (kwh * hourly_price(case.plan.power, times)).groupby(times.to_period("M")).sum()
    assert [cost for _, _, cost in one.months] == pytest.approx(list(by_month), rel=1e-9, abs=1e-9)


def test_prices_follow_their_periods(workshop):
    workshop["power"]["period"] = [
        {"months": [12, 1, 2], "weekdays": ["mon"], "hours": "22:00-06:00", "price": 0.05},
        {"hours": "17:00-19:30", "price": 0.40},
    ]
    power = plan_of(workshop).power
    times = pd.DatetimeIndex(["2017-01-02 23:00", "2017-01-03 23:00", "2017-01-03 17:00", "2017-01-03 19:00"])
    assert list(hourly_price(power, times)) == pytest.approx([0.05, 0.16, 0.40, 0.28])


def test_in_tiers_the_parts_of_the_bill_add_up_to_the_whole(workshop):
    """Household, pump and lights, heating and drying, each after those before it: the tiered cost of their sum.

    Pump, lights and drying were priced as if each were alone, at the price of the first tier.
    """
    workshop["power"] |= {"price": 0.10, "tier": [{"above": "300 kWh", "price": 0.30}], "household": "250 kWh"}
    workshop["dehumidifier"] = {"capacity": "10 L/day", "power": "300 W", "humidity": 0.6}
    workshop["climate"] |= {"winters": [2016], "coldest_night": "none"}
    case = scene_of(plan_of(workshop))
    energy = winter_energy(case, shown := case.simulate(case.heaters(np.array([0.0, 3000.0])), hourly_output=True))
    (winter,) = energy.winter_costs
    times = case.weather.winters[0].times()
    kwh = pd.Series((shown.hourly_output.heater_w[: len(times), 1] + drying_w(case, shown, 0)) / 1000.0, index=times)
    kwh += other_w(case.plan)[times.hour] / 1000.0
    by_month = kwh.groupby(times.to_period("M")).sum().to_numpy()
    whole = tiered_cost(case.plan.power, np.full(len(by_month), 250.0), by_month).sum()
    charge = case.plan.power.monthly_charge * len(by_month)
    assert winter.cost - charge + winter.other_cost == pytest.approx(whole, rel=1e-9)
    assert winter.other_cost > 1.5 * 0.10 * winter.other_kwh
    assert winter.other_kwh + winter.kwh == pytest.approx(by_month.sum(), rel=1e-6)
