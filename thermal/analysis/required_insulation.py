"""How much insulation, on one part alone, a given heater would need."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import replace

import numpy as np

from thermal import data
from thermal.analysis.case import SimulationCase, group_by_topology
from thermal.analysis.heater_sizing import ROUNDING_K, WARMEST_ROOM_ABOVE_K, to_last_spell
from thermal.analysis.results import PartResistance, RequiredInsulation
from thermal.climate.forcing import Forcing
from thermal.core.arrays import Array
from thermal.core.display_units import percent_text
from thermal.core.root_search import smallest_feasible
from thermal.network.model import Control
from thermal.physics.water_surface import SNUG_LID_EVAPORATION
from thermal.plan.model import Plan, Vessel
from thermal.solver.simulate import simulate_parallel

MOST_R = 10.0  # m2K/W, some 35 cm of foam: beyond that another part has to help
TOLERANCE_R = 0.02
ROUGH, ROUGH_R = 15, 0.63  # candidates of the first round, and the interval left to the next
Part = Callable[[Plan, float], Plan]  # adds a resistance to one part of a plan


def needed_resistances(case: SimulationCase, executor: Executor | None = None) -> RequiredInsulation | None:
    """The resistance tank, top, beds or room would need alone; None where neither heaters nor a circuit are given.

    The target is what the heaters owned give, or else what the circuit leaves beside pump and lights. A heated room
    may be as warm as it takes.
    """
    target = _target(case.plan)
    if target is None:
        return None
    parts = parts_of(case.plan)
    result = _least_r(case, list(parts.values()), target[0], executor)
    if result[0] == 0.0:  # the tank's walls with nothing added are the plan itself
        result[:] = 0.0
    needed = [PartResistance(name, float(r) if np.isfinite(r) else None) for name, r in zip(parts, result, strict=True)]
    return RequiredInsulation(*target, tuple(needed))


def _least_r(case: SimulationCase, parts: list[Part], watts: float, executor: Executor | None) -> Array:
    """What each part needs; infinite where no resistance is enough.

    Winters are first simulated only to their last cold spell, which leaves a small interval; whole winters settle it.
    """

    def found(
        index: Array, low: Array, high: Array, tolerance: float, forcing: Forcing, initial_points: int | None = None
    ) -> Array:
        def margin(at: Array, tried: Array) -> Array:
            pairs = [(parts[index[place]], float(r)) for row in tried for place, r in zip(at, row, strict=True)]
            plans = [part(case.plan, r) for part, r in pairs]
            return _margins(case, plans, watts, forcing, executor).reshape(tried.shape)

        return smallest_feasible(margin, low, high, tolerance, high_is_feasible=False, initial_points=initial_points)

    every = np.arange(len(parts))
    least, most = np.zeros(len(parts)), np.full(len(parts), MOST_R)
    rough = found(every, least, most, ROUGH_R, to_last_spell(case.weather), ROUGH)
    able = every[np.isfinite(rough)]
    low = np.maximum(rough[able] - ROUGH_R, 0.0)
    needed = found(able, low, low + ROUGH_R, TOLERANCE_R, case.forcing)
    if np.isfinite(needed).all():
        rough[able] = needed
        return rough
    return found(every, least, most, TOLERANCE_R, case.forcing)


def parts_of(plan: Plan) -> dict[str, Part]:
    """Each part of a plan that can be insulated, and how a resistance is added to it."""
    parts: dict[str, Part] = {
        "tank walls": lambda plan, r: replace(plan, tanks=tuple(_with_wall_r(vessel, r) for vessel in plan.tanks)),
        "lid on the tank": lambda plan, r: replace(plan, tanks=tuple(_with_lid_r(vessel, r) for vessel in plan.tanks)),
    }
    if plan.beds:
        parts["bed walls"] = lambda plan, r: replace(plan, beds=tuple(_with_wall_r(vessel, r) for vessel in plan.beds))
    if plan.room.temperature_c is None:
        parts["the room's outer sides"] = _with_room_r
    return parts


def _target(plan: Plan) -> tuple[float, str] | None:
    """Watts to make do with, and why."""
    if plan.heater.units_w:
        return sum(plan.heater.units_w), "the heaters you own"
    if plan.power.circuit_w is None:
        return None
    left = data.continuous_share() * plan.power.circuit_w - plan.electric_w
    pair = max((2.0 * size for size in data.heater_sizes() if 2.0 * size <= left), default=0.0)
    reserve = f"{percent_text(plan.heater.reserve)} in reserve"
    return pair / (1.0 + plan.heater.reserve), f"the largest pair that fits {plan.power.circuit}, {reserve}"


def _margins(
    case: SimulationCase, plans: list[Plan], watts: float, forcing: Forcing, executor: Executor | None
) -> Array:
    """How far each plan's water stays above its minimum with a heater of so many watts. [K]"""
    margins = np.zeros(len(plans))
    for batch in group_by_topology(plans, case.weather):
        designs = batch.network.designs
        setpoint = batch.setpoint_c + (WARMEST_ROOM_ABOVE_K if batch.heats_room else 0.0)
        control = Control(setpoint, np.full(designs, watts), np.zeros(designs))
        run = simulate_parallel(batch.network, forcing, control, batch.floor_c, executor=executor)
        margins[batch.positions] = run.coldest_c.min(axis=1) - batch.floor_c + ROUNDING_K
    return margins


def _with_wall_r(vessel: Vessel, r: float) -> Vessel:
    return replace(vessel, wall_r_m2k_per_w=vessel.wall_r_m2k_per_w + r)


def _with_lid_r(vessel: Vessel, r: float) -> Vessel:
    """With a snug lid of a resistance, day and night, on top of what covers it now."""
    return replace(
        vessel,
        evaporation=min(SNUG_LID_EVAPORATION, vessel.evaporation),
        night_evaporation=min(SNUG_LID_EVAPORATION, vessel.night_evaporation),
        lid_r_m2k_per_w=vessel.lid_r_m2k_per_w + r,
        night_lid_r_m2k_per_w=vessel.night_lid_r_m2k_per_w + r,
    )


def _with_room_r(plan: Plan, r: float) -> Plan:
    """The sides facing outdoors or the attic with a resistance added."""
    sides = tuple(
        replace(side, r_m2k_per_w=side.r_m2k_per_w + r) if side.faces in ("outdoors", "attic") else side
        for side in plan.room.sides
    )
    return replace(plan, room=replace(plan.room, sides=sides))
