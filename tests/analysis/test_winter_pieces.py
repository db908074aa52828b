"""Winters in pieces side by side give the hours of winters in one go."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

from thermal.analysis.case import hours_of, winter_hours
from thermal.analysis.plan_weather import scene_of
from thermal.analysis.remedies import remedied_case, remedy_ladders
from thermal.analysis.winter_pieces import simulate_in_pieces, summaries_in_pieces, summaries_of_winters
from thermal.analysis.winter_totals import price_weights
from thermal.plan.example_plans import example_path
from thermal.plan.reader import plan_of
from thermal.solver.results import OutputRequest


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
            assert np.abs(own.mean(air) - hours.mean(air))[336:].max() < 0.03
            assert np.abs(own.mean(air) - hours.mean(air)).max() < 0.06  # the first piece starts otherwise
            assert abs(own.tank_c.min() - hours.tank_c.min()) < 0.03
            assert np.abs(own_heat[:1000] - heat[:1000]).sum() < 1e-3 * heat.sum()
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
    assert abs(heat.sum() / alone_heat.sum() - 1.0) < 5e-4


def test_much_water_that_forgets_in_a_month_has_the_heating_of_whole_winters_too():
    """14 m3 with 100 mm of foam under a foam hut: a state from the weather of the weeks after it was 6 % off."""
    document = tomllib.loads(example_path("garage-metric").read_text("utf-8"))
    document["tank"][0] |= {"diameter": "3.2 m", "water_depth": "1.8 m", "insulation": "XPS 100 mm"}
    document["tank"][0] |= {"top": "snug foam lid", "stands_on": "XPS 50 mm on slab"}
    written = scene_of(plan_of(document))
    hut = next(way for ladder in remedy_ladders(written.plan) for way in ladder if "foam hut" in way[0])
    case = remedied_case(written, hut)
    control = case.heaters(np.array([300.0]))
    whole = case.simulate(control, hourly_output=True)
    (pieces,) = simulate_in_pieces(case.network, [case.weather], control, case.plan.keep.floor_c)
    for winter in range(len(case.weather.winters)):
        heat, own = (
            hours.hourly_output.heater_w[:, hours.column].sum()
            for hours in (hours_of(case, whole, winter, 0), winter_hours(case, pieces, winter, 0))
        )
        assert own == pytest.approx(heat, rel=0.01)


def test_results_of_pieces_add_up_to_those_of_whole_winters(case_with):
    """Energy by month and price, damp hours, extremes and snapshots of two heaters in winters of unlike length."""
    case = case_with({"climate.winters": "all"})
    weather = case.weather
    assert len({winter.hours for winter in weather.winters}) > 1  # or the ends of winters were not tried
    count = len(weather.winters)
    control = case.heaters(np.array([1500.0, 5000.0]))
    rows = np.full((2, count), -1)
    rows[0, 0], rows[1, count - 1] = weather.spin_up_h + 24, weather.spin_up_h + 24 * 90
    request = OutputRequest(weights=price_weights(case)[None], damp=True, snapshot_h=rows)
    whole = case.simulate(control, request=request)
    design, winter = np.repeat([0, 1], count), np.tile(np.arange(count), 2)
    network, floor_c = case.network.take(design * 0), np.full(2 * count, case.plan.keep.floor_c)
    own = summaries_in_pieces(network, weather, control.take(design), floor_c, request, winter)
    for name, limit in {"heater_j": 1e-3, "marked_j": 2e-3, "weighted_j": 2e-3}.items():
        expected = getattr(whole, name).reshape(*getattr(whole, name).shape[:-2], -1)
        assert np.abs(own[name] - expected).max() <= limit * expected.max(), name
        assert (own[name] > 0).sum() == (expected > 0).sum()
    for name, limit in {"coldest_c": 0.03, "warmest_c": 0.06, "peak_w": 1.0, "hours_below": 2.0, "damp_h": 3.0}.items():
        expected = getattr(whole, name).reshape(*getattr(whole, name).shape[:-2], -1)
        assert np.abs(own[name] - expected).max() <= limit, name
    assert whole.damp_h.max() > 0 or case.envelope is None
    snapshots = whole.snapshot_c.reshape(*whole.snapshot_c.shape[:-2], -1)
    np.testing.assert_array_equal(np.isnan(own["snapshot_c"]), np.isnan(snapshots))
    assert np.nanmax(np.abs(own["snapshot_c"] - snapshots)) < 0.1


def test_no_design_depends_on_those_beside_it_and_winters_with_ice_are_whole(case_with):
    """A heater that is enough, one with which the tank freezes, and a minimum of 1 degC, alone and together."""
    case = case_with({"climate.winters": [2016], "climate.coldest_night": "none"})
    heaters = case.heaters(np.array([5000.0, 50.0, 5000.0]))
    floor_c, none = np.array([10.0, 10.0, 1.0]), OutputRequest(damp=True)
    network, winter = case.network.take(np.zeros(3, dtype=int)), np.zeros(3, dtype=int)
    together = summaries_in_pieces(network, case.weather, heaters, floor_c, none, winter)
    whole = summaries_of_winters(network, case.weather, heaters, floor_c, none, winter)
    assert together["coldest_c"][1] <= 0.0
    for place in range(3):
        index = np.array([place])
        own = network.take(index), case.weather, heaters.take(index), floor_c[index], none, winter[index]
        alone = summaries_in_pieces(*own)
        for name in ("heater_j", "coldest_c", "peak_w", "damp_h", "hours_below", "marked_j"):
            np.testing.assert_allclose(together[name][..., place], alone[name][..., 0], rtol=1e-6, err_msg=name)
    np.testing.assert_allclose(together["heater_j"][1], whole["heater_j"][1], rtol=1e-9)
    assert together["heater_j"][0] != whole["heater_j"][0]  # or the first was not in pieces
    assert together["heater_j"][0] == pytest.approx(whole["heater_j"][0], rel=5e-4)


UNLIKE = {  # plans whose pieces do not join: heating up to 5 % and 3 % off, found in review
    "ice in beds that get little warm water": {
        "climate": {"series": "minneapolis-mn"},
        "keep": {"floor": "4 degC"},
        "pump": {"flow": "60 L/h", "hours": "12:00-13:00"},
        "bed": {"water_depth": "0.6 m", "fill": "raft", "flooding": "constant", "count": 2},
        "tank": {"insulation": "XPS 50 mm"},
    },
    "much water behind much foam": {
        "tank": {
            "diameter": "3 m", "water_depth": "2 m", "insulation": "XPS 200 mm", "top": "snug foam lid",
            "stands_on": "XPS 200 mm on slab",
        },
        "hut": {"length": "4 m", "width": "4 m", "height": "2.2 m", "build": "foam hut"},
        "room": {"width": "5 m"},
    },
}  # fmt: skip


@pytest.mark.parametrize("name", UNLIKE)
def test_where_pieces_do_not_join_winters_are_whole(name, monkeypatch):
    example = "shed-metric" if "ice" in name else "garage-metric"
    document = tomllib.loads(example_path(example).read_text("utf-8"))
    document.pop("measure")
    for table, changed in UNLIKE[name].items():
        own = document.setdefault(table, {})
        (own[0] if isinstance(own, list) else own).update(changed)
    if "bed" not in UNLIKE[name]:
        document.pop("bed")
    case = scene_of(plan_of(document))
    count = len(case.weather.winters)
    index, floor_c = np.zeros(count, dtype=int), np.full(count, case.plan.keep.floor_c)
    heaters = case.heaters(np.full(count, 3000.0))
    given = case.network.take(index), case.weather, heaters, floor_c, OutputRequest(), np.arange(count)
    whole = summaries_of_winters(*given)["heater_j"]
    np.testing.assert_allclose(summaries_in_pieces(*given)["heater_j"], whole, rtol=3e-3)
    hours = simulate_in_pieces(case.network, [case.weather], heaters.take(np.array([0])), case.plan.keep.floor_c)[0]
    lengths = [winter.hours for winter in case.weather.winters]
    heat_j = [3600.0 * hours.heater_w[:length, winter].sum() for winter, length in enumerate(lengths)]
    np.testing.assert_allclose(heat_j, whole, rtol=3e-3)
    monkeypatch.setattr("thermal.analysis.winter_pieces.JOIN_SHARE", 99.0)
    monkeypatch.setattr("thermal.analysis.winter_pieces.AT_FREEZING_C", -99.0)
    assert np.abs(summaries_in_pieces(*given)["heater_j"] / whole - 1.0).max() > 3e-3  # or pieces join


def test_a_pump_that_rests_at_night_does_not_rest_all_the_time_before_a_piece(case_with):
    """The state before a piece had the pump off, as it is at midnight: beds and slab began too cold."""
    case = case_with({"climate.winters": [2015], "climate.coldest_night": "none", "pump.hours": "06:00-22:00"})
    given = (
        case.network,
        case.weather,
        case.heaters(np.array([3000.0])),
        np.array([10.0]),
        OutputRequest(),
        np.array([0]),
    )
    pieces, whole = summaries_in_pieces(*given), summaries_of_winters(*given)
    assert pieces["heater_j"] == pytest.approx(whole["heater_j"], rel=2e-4)  # 0.07 % before
