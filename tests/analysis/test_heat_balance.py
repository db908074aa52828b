"""Pipes, thermal bridges, plants and a pump beside the tank: in the heat balance, the samples and the damp."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from thermal.analysis.case import hours_of
from thermal.analysis.heat_balance import RADIATED_TO_SKY, SUN_ON_SIDES, SUN_THROUGH_WINDOWS, room_paths, water_paths
from thermal.analysis.heat_loss_table import room_parts, water_parts
from thermal.analysis.moisture import moisture_hours
from thermal.analysis.odd_values import odd_values
from thermal.analysis.plan_weather import scene_of
from thermal.analysis.uncertainty import sampled_plans, unknowns
from thermal.analysis.unpowered_plan import without_power
from thermal.climate.forcing import sun_column
from thermal.network.build import build_network
from thermal.physics.constants import SEA_LEVEL_PA
from thermal.plan.model import Plan
from thermal.plan.reader import plan_of, with_settings

HUT = {"length": "3 m", "width": "3 m", "height": "2 m", "build": "foam hut"}
PIPES = [
    {"name": "flow", "length": "4 m", "diameter": "25 mm"},
    {"name": "return", "length": "6 m", "diameter": "50 mm", "insulation": "pipe foam 13 mm", "where": "room"},
]
ALL = {
    "pipe": PIPES, "pump.in_water_share": 0.6, "pump.hours": "06:00-23:00", "room.bridges": "many",
    "bed.transpiration": 2.0,
}  # fmt: skip


def ledger(plan: Plan) -> tuple[dict, dict, object, object]:
    case = scene_of(plan)
    run = case.simulate(case.heaters(np.array([2000.0])), hourly_output=True)
    hours = hours_of(case, run, 0, 0)
    ground = (case.weather.harmonic.mean_c, case.weather.harmonic.amplitude_k)
    water = water_paths(case.plan, case.network, hours)
    rooms = room_paths(case.plan, case.envelope, case.network, hours, ground) if case.envelope else {}
    return water, rooms, case, hours


@pytest.mark.parametrize("settings", [{}, {"hut": HUT}, {"room.temperature": "4 degC"}], ids=["room", "hut", "given"])
def test_the_books_balance_with_everything_on(workshop, settings):
    """`water_paths` and `room_paths` raise where the paths do not add up; here term by term too, without the sky."""
    plan = plan_of(with_settings({**workshop, "measure": []}, {**ALL, **settings, "climate.sky": False}))
    water, rooms, case, hours = ledger(plan)
    heater_wh = hours.hourly_output.heater_w[:, hours.column].sum()
    for paths in (water, rooms) if rooms else (water,):
        assert sum(flow.sum() for flow in paths.values()) == pytest.approx(heater_wh, rel=1e-5)
    assert water["pipes"].sum() > 0.0
    pump_wh = plan.pump.power_w * sum(plan.pump.hours) * len(hours.outdoor_c) / 24.0
    assert -water["pump"].sum() == pytest.approx(0.6 * pump_wh, rel=0.01)
    if rooms:
        assert "pipes" not in rooms  # their heat stays in the room
        assert -rooms["pump"].sum() == pytest.approx(pump_wh, rel=0.01)
        kg_day = 2.0 * sum(bed.surface_m2 for bed in plan.beds)
        by_day = rooms["transpiration of plants"].reshape(-1, 24).sum(axis=1)
        assert by_day == pytest.approx(kg_day * 2.5e6 / 3600.0, rel=1e-9)
        outer = sum(side.area_m2 for side in plan.room.sides if side.faces in ("outdoors", "attic"))
        air_c = hours.mean(case.network.nodes.index("air"))
        steady = 0.10 * outer * float((air_c - hours.outdoor_c).sum())
        # The sides are a little warmer than the air makes them: water radiates to them, the house warms their node.
        assert steady < rooms["thermal bridges"].sum() < 1.15 * steady


def test_the_parts_add_up_to_the_networks_conductances(workshop):
    """What `check` lists as pipes and bridges is what the network has."""
    plan = plan_of(with_settings({**workshop, "measure": []}, ALL))
    plain = plan_of(with_settings({**workshop, "measure": []}, {**ALL, "pipe": [], "room.bridges": "none"}))
    parts = {part.name: part.w_per_k for part in (*water_parts(plan), *room_parts(plan))}
    with_it, without = (build_network(one, SEA_LEVEL_PA, 10.0, 12.0) for one in (plan, plain))
    air, tank = (with_it.nodes.index(name) for name in ("air", "tank"))
    pipes = sum(value for name, value in parts.items() if name.startswith(("flow", "return")))
    assert with_it.link_w_per_k[with_it.links.index((air, tank)), 0] == pytest.approx(pipes)
    assert (air, tank) not in without.links
    assert "thermal bridges" not in {part.name for part in room_parts(plain)}
    outer = sum(side.area_m2 for side in plan.room.sides if side.faces in ("outdoors", "attic"))
    assert parts["thermal bridges"] == pytest.approx(0.10 * outer)


def test_a_power_cut_stops_pipes_and_plants(workshop):
    plan = without_power(plan_of(with_settings({**workshop, "measure": []}, ALL)))
    bare = without_power(plan_of(with_settings({**workshop, "measure": []}, {**ALL, "pipe": []})))
    dark, no_pipe = (build_network(one, SEA_LEVEL_PA, 10.0, 12.0) for one in (plan, bare))
    assert not dark.room_air.vapour_kg_s.any()
    air, tank = (dark.nodes.index(name) for name in ("air", "tank"))
    assert dark.link_w_per_k[dark.links.index((air, tank)), 0] == 0.0
    assert dark.source_w == pytest.approx(no_pipe.source_w)


def test_leafy_beds_make_the_room_damper_and_ask_for_less_than_their_latent_heat(workshop):
    """Energy: the heater gives at most what the vapour took. Mass: the vapour leaves by air change or on the walls."""
    kwh, damp = [], []
    for amount in ("none", 2.0):
        plan = plan_of(with_settings({**workshop, "measure": []}, {"bed.transpiration": amount}))
        _, _, case, hours = ledger(plan)
        kwh.append(hours.hourly_output.heater_w[:, hours.column].sum() / 1000.0)
        damp.append(moisture_hours(case, hours).mould_hours)
    kg = 2.0 * sum(bed.surface_m2 for bed in plan.beds) * len(hours.outdoor_c) / 24.0
    assert 0.0 < kwh[1] - kwh[0] < kg * 2.5 / 3.6
    assert damp[1] > damp[0]


@pytest.mark.parametrize(
    ("settings", "named"),
    [
        ({"room.bridges": "usual"}, {"thermal bridges: usual": (0.0, 0.05, 0.15)}),
        ({"room.bridges": "usual"}, {"transpiration: with lights": (0.3, 1.0, 2.2),
                                     "tap water temperature": (10.0, 7.0, 4.0)}),
        ({"room.lights": {"power": "0 W"}}, {"transpiration: without lights": (0.0, 0.3, 1.0)}),
        ({"room.bridges": 0.05, "bed.transpiration": 1.0, "water.tap_temperature": "10 degC"}, {}),
        ({"room.bridges": "none", "bed.fill": "water", "water.tap_temperature": "10 degC"}, {}),
    ],
)  # fmt: skip
def test_what_the_plan_does_not_say_is_sampled(workshop, settings, named):
    plan = plan_of(with_settings({**workshop, "measure": []}, settings))
    found = unknowns(plan)
    small = {key: value for key, value in found.items() if key.startswith(("thermal", "transpiration", "tap"))}
    assert named.items() <= small.items()
    assert any(name.startswith("thermal") for name in small) == (settings.get("room.bridges") == "usual")
    if not named:
        assert small == {}
        return
    ends = [sampled_plans(plan, {name: np.array([u]) for name in found}, [0])[0] for u in (0.001, 0.999)]
    assert ends[0].beds[0].transpiration_kg_s != ends[1].beds[0].transpiration_kg_s
    if "tap water temperature" in named:
        assert ends[1].tap_c < 5.0 < 9.0 < ends[0].tap_c  # high is much heat: cold water
        assert ends[0].room.sides[0].bridges_w_per_m2k < 0.01 < 0.14 < ends[1].room.sides[0].bridges_w_per_m2k


def test_pipes_without_flow_are_noticed(workshop):
    plan = plan_of(with_settings({**workshop, "measure": []}, {"pipe": PIPES}))
    assert "pipe-no-flow" not in {warning.code for warning in odd_values(plan)}
    still = replace(plan, pump=replace(plan.pump, flow_m3_s=0.0))
    assert "pipe-no-flow" in {warning.code for warning in odd_values(still)}
    assert any("no heat lost" in part.name for part in water_parts(still))


def test_sun_and_sky_are_paths_of_the_room(workshop):
    """In a room with a window under Golden's sun: `room_paths` adds up, and the window's path is 0.9 g A I."""
    window = {"name": "window", "area": "4 m2", "build": "double glazing", "facing": "south"}
    document = {**workshop, "measure": []}
    document["room"]["side"] = [*document["room"]["side"], window]
    plan = plan_of(with_settings(document, {"climate.series": "golden-co", "climate.winters": "all"}))
    _, rooms, case, hours = ledger(plan)
    incident = hours.columns[:, sun_column("south")].sum()
    assert -rooms[SUN_THROUGH_WINDOWS].sum() == pytest.approx(0.96 * 0.9 * 0.6 * 4.0 * incident, rel=1e-6)
    assert -rooms[SUN_ON_SIDES].sum() > 0.0
    assert rooms[RADIATED_TO_SKY].min() > 0.0
    assert -rooms[SUN_ON_SIDES].reshape(-1, 24)[:, 0:4].sum() == 0.0  # midnight to four
    assert case.weather.sun_and_sky.sun == "measured"
