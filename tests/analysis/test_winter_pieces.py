"""Winters in pieces side by side give the hours of winters in one go."""

from __future__ import annotations

import numpy as np

from thermal.analysis.case import hours_of, winter_hours
from thermal.analysis.winter_pieces import simulate_in_pieces


def test_pieces_of_winters_give_the_hours_of_whole_ones(case_with):
    """Two heaters, one of them too small in the coldest weeks: heat, air and water, and the winter's first weeks."""
    case = case_with({"climate.winters": [2015, 2016]})
    control = case.heaters(np.array([400.0, 5000.0]))
    whole = case.simulate(control, hourly_output=True)
    (pieces,) = simulate_in_pieces(
        case.network.take(np.zeros(2, dtype=int)), [case.weather], control, case.plan.keep.floor_c
    )
    air = case.network.nodes.index("air")
    for winter in range(2):
        for design in range(2):
            hours, own = hours_of(case, whole, winter, design), winter_hours(case, pieces, winter, design)
            heat, own_heat = (part.hourly_output.heater_w[:, part.column] for part in (hours, own))
            assert len(own_heat) == len(heat) == case.weather.winters[winter].hours
            assert abs(own_heat.sum() / heat.sum() - 1.0) < 1e-3
            assert np.abs(own.mean(air) - hours.mean(air)).max() < 0.03
            assert abs(own.tank_c.min() - hours.tank_c.min()) < 0.03
            np.testing.assert_allclose(own_heat[:1000], heat[:1000], atol=0.01)  # the first piece has the same start
    small = hours_of(case, whole, 1, 0)
    assert small.tank_c.min() < case.plan.keep.floor_c  # or too small a heater was not tried


def test_another_weather_stands_beside_the_winters(case_with):
    """The weeks with a rare cold spell in the same simulation: as many hours, and the heat of the weeks alone."""
    case = case_with({"climate.winters": [2016], "climate.coldest_night": "-40 degC"})
    rare = case.in_rare_cold
    control = case.heaters(np.array([5000.0]))
    _, beside = simulate_in_pieces(case.network, [case.weather, rare.weather], control, case.plan.keep.floor_c)
    alone = hours_of(rare, rare.simulate(control, hourly_output=True), 0, 0)
    weeks = winter_hours(rare, beside, 0, 0)
    heat, alone_heat = (part.hourly_output.heater_w[:, part.column] for part in (weeks, alone))
    assert abs(heat.max() - alone_heat.max()) < 0.5
    assert abs(heat.sum() / alone_heat.sum() - 1.0) < 1e-4
