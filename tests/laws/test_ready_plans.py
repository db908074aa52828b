"""What holds for every ready plan: heat follows cold, leaks and insulation in the right direction, and size.

No outside source: these are relations between two answers, true of any room whose heat flows from warm to cold.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import Phase, given, seed, settings
from hypothesis import strategies as st

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.plan_weather import scene_of
from thermal.climate.forcing import Forcing
from thermal.climate.heating_seasons import excerpt
from thermal.core.schedule import DailySchedule
from thermal.network.model import join_networks, thermostat
from thermal.plan.model import Plan
from thermal.plan.reader import plan_of, with_settings
from thermal.plan.structure import Vessel
from thermal.solver.simulate import simulate

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again

READY = sorted(path.stem for path in (files("thermal") / "plan" / "examples").iterdir() if path.suffix == ".toml")
SIMULATED = [name for name in READY if not name.startswith("basement")]  # whose air is not given
FROM_H, DAYS = 60 * 24, 40  # of the winter that is looked at
ROUNDING = 1e-6  # of the heat
Change = Callable[[Plan], Plan]


@cache
def case_of(name: str, heat: str) -> SimulationCase:
    """A ready plan without measures, its water or the air around it heated.

    Sun and sky are left out: the sun may warm a side's face above the room, the night sky may cool a bare room below
    the air outdoors, and insulation or closed gaps then keep out what would have warmed it.
    """
    document = tomllib.loads((files("thermal") / "plan" / "examples" / f"{name}.toml").read_text("utf-8"))
    settings = {"heater.where": heat, "climate.sun": False, "climate.sky": False}
    return scene_of(plan_of(with_settings({**document, "measure": []}, settings)))


def heat_of(case: SimulationCase, changes: list[Change], colder_k: float = 0.0) -> np.ndarray:
    """Heat that keeps the minimum in forty days of winter, of the plan and of each change, (1 + change,). [J]"""
    plans = [case.plan, *(change(case.plan) for change in changes)]
    start = np.array([case.weather.spin_up_h + FROM_H])
    forcing = excerpt(case.weather, np.zeros(1, dtype=int), start, DAYS * 24)
    forcing = colder(forcing, colder_k)
    network = join_networks([network_of(plan, case.weather) for plan in plans])
    floor = np.array([plan.keep.floor_c for plan in plans])
    return np.asarray(simulate(network, forcing, thermostat(floor, 1e9), floor).heater_j[:, 0])


def colder(forcing: Forcing, by_k: float) -> Forcing:
    """The same weather, colder in every hour."""
    return replace(forcing, outdoor_c=forcing.outdoor_c - by_k)


def more_minimum(plan: Plan, by_k: float) -> Plan:
    return replace(plan, keep=replace(plan.keep, floor_c=plan.keep.floor_c + by_k))


def more_air(plan: Plan, factor: float) -> Plan:
    room = plan.room
    air, leak = room.air_changes_per_h * factor, room.leakage_area_cm2 * factor
    return replace(plan, room=replace(room, air_changes_per_h=air, leakage_area_cm2=leak))


def insulated_side(plan: Plan, number: int, r: float) -> Plan:
    sides = [replace(side, r_m2k_per_w=side.r_m2k_per_w + r * (i == number)) for i, side in enumerate(plan.room.sides)]
    return replace(plan, room=replace(plan.room, sides=tuple(sides)))


def insulated_edge(plan: Plan, r: float) -> Plan:
    floor = replace(plan.room.floor, edge_r_m2k_per_w=plan.room.floor.edge_r_m2k_per_w + r, edge_depth_m=0.6)
    return replace(plan, room=replace(plan.room, floor=floor))


def insulated_walls(plan: Plan, r: float) -> Plan:
    def more(vessel: Vessel) -> Vessel:
        return replace(vessel, wall_r_m2k_per_w=vessel.wall_r_m2k_per_w + r)

    return replace(plan, tanks=tuple(map(more, plan.tanks)), beds=tuple(map(more, plan.beds)))


def times_daily(schedule: DailySchedule, n: float) -> DailySchedule:
    return tuple(n * share for share in schedule)


def many_vessels(vessel: Vessel, n: int) -> Vessel:
    names = (
        "surface_m2",
        "wall_m2",
        "bottom_m2",
        "water_m3",
        "capacity_j_per_k",
        "drained_j_per_k",
        "drained_water_m3",
    )
    extensive = {name: n * getattr(vessel, name) for name in names}
    vapour = times_daily(vessel.transpiration_kg_s, n)
    return replace(vessel, count=n * vessel.count, transpiration_kg_s=vapour, **extensive)


def n_fold(plan: Plan, n: int) -> Plan:
    """Everything n times: the room n times as large with n times the perimeter, as n rooms that share no wall."""
    room = plan.room
    half, area = n * (room.length_m + room.width_m), n * room.floor_m2
    length = half / 2.0 + np.sqrt(half**2 / 4.0 - area)
    sides = tuple(replace(side, area_m2=n * side.area_m2) for side in room.sides)
    hut = plan.hut
    if hut is not None:
        sizes = {name: n * getattr(hut, name) for name in ("floor_m2", "skin_m2", "volume_m3")}
        hut = replace(hut, **sizes)
    return replace(
        plan,
        tanks=tuple(many_vessels(tank, n) for tank in plan.tanks),
        beds=tuple(many_vessels(bed, n) for bed in plan.beds),
        pump=replace(plan.pump, flow_m3_s=n * plan.pump.flow_m3_s, power_w=n * plan.pump.power_w),
        loads=tuple(replace(load, power_w=n * load.power_w) for load in plan.loads),
        pipes=tuple(replace(pipe, length_m=n * pipe.length_m, water_m3=n * pipe.water_m3) for pipe in plan.pipes),
        water_change_m3_s=n * plan.water_change_m3_s,
        hut=hut,
        room=replace(
            room,
            length_m=length,
            width_m=area / length,
            sides=sides,
            leakage_area_cm2=n * room.leakage_area_cm2,
        ),
    )


def judge(name: str, heat: str, amount: float, n: int) -> None:
    """All laws for one plan and one size of every change."""
    case = case_of(name, heat)
    outer = [i for i, side in enumerate(case.plan.room.sides) if side.faces in ("outdoors", "attic")]
    rising = [partial(more_minimum, by_k=5.0 * amount), partial(more_air, factor=1.0 + 2.0 * amount)]
    falling: list[Change] = [partial(insulated_walls, r=3.0 * amount)] if heat == "water" else []  # else air is warmer
    if name in SIMULATED:
        falling += [partial(insulated_side, number=i, r=3.0 * amount) for i in outer]
        falling += [partial(insulated_edge, r=10.0 * amount)]
    heat_j = heat_of(case, [*rising, *falling, partial(n_fold, n=n)])
    base, slack = heat_j[0], ROUNDING * heat_j[0] + 1.0
    up, down = heat_j[1 : 1 + len(rising)], heat_j[1 + len(rising) : -1]
    assert (up >= base - slack).all(), ("minimum, air", up / base)
    assert (down <= base + slack).all(), ("walls, sides, edge", down / base)
    assert heat_j[-1] == pytest.approx(n * base, rel=0.01, abs=1.0)
    assert heat_of(case, [], colder_k=8.0 * amount)[0] >= base - slack


@pytest.mark.parametrize("name", READY)
def test_heat_follows_its_causes_in_every_ready_plan(name):
    judge(name, "water", 0.5, 3)


AMOUNTS = {
    "name": st.sampled_from(READY),
    "heat": st.sampled_from(["water", "room"]),
    "amount": st.floats(0.002, 1.0),
    "n": st.integers(2, 6),
}


@seed(30)
@settings(max_examples=8, deadline=None, phases=[Phase.generate], database=None)
@given(**AMOUNTS)
def test_heat_follows_its_causes_in_plans_at_random(name, heat, amount, n):
    judge(name, heat if name in SIMULATED else "water", amount, n)


@pytest.mark.slow
@seed(31)
@settings(max_examples=400, deadline=None, phases=[Phase.generate], database=None)
@given(**AMOUNTS)
def test_heat_follows_its_causes_in_four_hundred_plans(name, heat, amount, n):
    judge(name, heat if name in SIMULATED else "water", amount, n)
