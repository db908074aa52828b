"""Barrels of water in the room: their node by hand, their ice, and the books of room and water beside them."""

from __future__ import annotations

from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from tests.analysis.quick import assess
from tests.docs.markers import README
from thermal.analysis.case import hours_of
from thermal.analysis.heat_balance import room_paths, water_paths
from thermal.analysis.verdict import PLANT, water_around
from thermal.errors import PlanError
from thermal.plan.reader import plan_of, with_settings
from thermal.report.barrel_text import barrel_sentence
from thermal.report.plan_summary import print_plan
from thermal.report.question_json import question_json
from thermal.report.question_text import question_sentences

QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}
DRUMS = {**QUICK, "barrel": [{"volume": "200 L", "count": 6}]}
JUGS = {**QUICK, "barrel": [{"volume": "5 L", "count": 20}], "pump.hours": "06:00-22:00"}


@pytest.fixture(scope="module")
def jugs(case_with):
    case = case_with(JUGS)
    run = case.simulate(case.heaters(np.array([2000.0])), hourly_output=True)
    assert run.closure.max() < 1e-6
    return case, hours_of(case, run, 0, 0)


def link(network, a, b):
    pair = tuple(sorted((network.nodes.index(a), network.nodes.index(b))))
    return network.link_w_per_k[network.links.index(pair), 0]


def test_check_shows_the_barrels_as_read(workshop):
    """3 mm of polyethylene at 0.42 W/mK (the wall of `test_six_drums_by_hand`) is 0.007 m2K/W."""
    groups = [{"volume": "200 L", "count": 6}, {"name": "[red] jugs", "volume": "5 gal", "where": "room"}]
    plan = plan_of(with_settings(workshop, {"barrel": groups}))
    console = Console(file=StringIO(), width=160)
    print_plan(plan, console)
    shown = console.file.getvalue()
    assert "barrel: 6 × 200 L outside the system, in the air around the tank, wall R-value 0.01 m²K/W" in shown
    assert "[red] jugs: 1 × 19 L outside the system, in the room, wall R-value 0.01 m²K/W" in shown


def test_six_drums_by_hand(case_with):
    """200 L as a cylinder 1.5 times as high as wide: 0.554 m across, bottom 0.241 m2, walls and top 1.686 m2.

    Polyethylene of 3 mm at 0.42 W/mK is 0.007 m2K/W: behind a film of 0.13 (ISO 6946 table 7) 6 x 1.686/0.137 =
    73.8 W/K to the air, and behind 0.05 of slab 6 x 0.241/0.057 = 25.3 W/K to the slab; 1,200 kg at 4.19 kJ/kgK.
    """
    network = case_with(DRUMS).network
    assert link(network, "air", "barrel") == pytest.approx(73.8, rel=0.01)
    assert link(network, "slab", "barrel") == pytest.approx(25.3, rel=0.03)
    assert network.capacity_j_per_k[network.nodes.index("barrel"), 0] == pytest.approx(1200.0 * 4190.0, rel=3e-3)
    assert network.vessels.ice_limit_j[0, 0] == pytest.approx(1200.0 * 333.5e3, rel=3e-3)
    assert case_with(DRUMS).plan.water_m3 == pytest.approx(case_with(QUICK).plan.water_m3)


def test_a_hut_may_hold_them_or_not(case_with):
    hut = {"length": "3 m", "width": "3 m", "height": "2 m"}
    for where, air in (("system", "hut"), ("room", "air")):
        network = case_with({**QUICK, "hut": hut, "barrel": [{"volume": "50 L", "where": where}]}).network
        assert link(network, air, "barrel") > 0.0


def test_jugs_freeze_by_the_heat_they_give(jugs):
    """Hour by hour: what flows in from air and slab warms the water or melts its ice, which keeps it at 0 degC."""
    case, hours = jugs
    network, nodes = case.network, case.network.nodes
    air, slab, barrel = (hours.mean(nodes.index(name)) for name in ("air", "slab", "barrel"))
    water_c = hours.end(nodes.index("barrel"), network.vessels.water_nodes)
    ice_j = hours.hourly_output.ice_j[:, 0, hours.column]
    inflow_w = link(network, "air", "barrel") * (air - barrel) + link(network, "slab", "barrel") * (slab - barrel)
    stored_w = (network.capacity_j_per_k[nodes.index("barrel"), 0] * np.diff(water_c) - np.diff(ice_j)) / 3600.0
    assert stored_w == pytest.approx(inflow_w[1:], abs=1.0)
    frozen = ice_j > 0.0
    assert 24 < frozen.sum() < len(frozen)
    assert np.abs(water_c[frozen & (ice_j < network.vessels.ice_limit_j[0, 0])]).max() < 1e-3


def test_the_books_of_room_and_water_close_beside_them(jugs):
    """Both raise where they do not; the ice of the barrels is stored in the room, not in the system's water."""
    case, hours = jugs
    ground = (case.weather.harmonic.mean_c, case.weather.harmonic.amplitude_k)
    water = water_paths(case.plan, case.network, hours)
    room = room_paths(case.plan, case.envelope, case.network, hours, ground)
    assert sum(flow.sum() for flow in room.values()) == pytest.approx(sum(flow.sum() for flow in water.values()))
    network, nodes = case.network, [case.network.nodes.index(name) for name in ("bed", "tank")]
    bed_c, tank_c = (hours.end(node, network.vessels.water_nodes) for node in nodes)
    bed_w, tank_w = (
        network.capacity_j_per_k[node, 0] * np.diff(ends) / 3600.0
        for node, ends in zip(nodes, (bed_c, tank_c), strict=True)
    )
    pumped = ((hours.hour_of_day > 6) & (hours.hour_of_day < 22))[1:]  # the beds full since the hour before
    assert water["stored in water"][1:][pumped] == pytest.approx((bed_w + tank_w)[pumped], abs=1.0)
    assert np.array_equal(water_around(case, hours, PLANT), bed_c)
    assert np.array_equal(water_around(case, hours, "animal"), tank_c)


def test_what_they_change_is_told(case_with):
    assessed = assess(case_with(DRUMS))
    told = assessed.barrels
    assert told is not None
    assert (told.count, told.water_m3) == (6, pytest.approx(1.2))
    assert told.coldest_air_c > told.coldest_air_without_c  # 1,200 kg hold the coldest night
    assert told.heater_w is not None
    assert told.heater_w < told.heater_without_w
    said = barrel_sentence(told, "metric")
    assert said.startswith("6 barrels hold 1,200 L of water, outside the system. The heater needed is")
    assert ("hold ice" in said) == (told.hours_ice > 0.0)
    assert said in question_sentences(assessed)
    assert question_json(assessed)["barrels"]["frozen_share"] == told.frozen_share
    (row,) = [line for line in README.read_text("utf-8").splitlines() if line.startswith("| 30. ")]
    assert "| `overwinter" in row


def test_barrels_that_can_do_nothing_are_refused(workshop):
    barrel, hut = [{"volume": "200 L"}], {"length": "3 m", "width": "3 m", "height": "2 m"}
    room = {**workshop["room"], "temperature": "5 degC"}
    with pytest.raises(PlanError, match="in a room of given temperature barrels change nothing"):
        plan_of({**workshop, "room": room, "barrel": barrel})
    with pytest.raises(PlanError, match="some stand in the hut and some outside"):
        plan_of({**workshop, "hut": hut, "barrel": [*barrel, {"volume": "5 L", "where": "room"}]})
