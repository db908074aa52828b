"""The insulation that a given heater would need, on one part alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from thermal.analysis.case import Batch, SimulationCase, group_by_topology
from thermal.analysis.circuit import supply_of
from thermal.analysis.comparison_results import PartResistance, RequiredInsulation
from thermal.analysis.heater_sizing import ROUNDING_K, WARMEST_ROOM_ABOVE_K, spells_of_coldest
from thermal.analysis.heater_units import largest_set, watts_to_buy
from thermal.analysis.winter_pieces import MOST_IN_PIECES, summaries_in_pieces, summaries_of_winters
from thermal.core.arrays import Array
from thermal.core.display_units import percent_text
from thermal.core.parallel import SerialExecutor
from thermal.core.root_search import smallest_feasible
from thermal.data.snug_lid import snug_lid
from thermal.network.model import Control
from thermal.plan.model import Plan
from thermal.plan.structure import Vessel
from thermal.solver.results import NOTHING
from thermal.solver.simulate import simulate_parallel

MOST_R = 10.0  # m2K/W, some 35 cm of foam; if more is needed, the part alone is not enough
TOLERANCE_R = 0.02  # m2K/W
FIRST_POINTS, FIRST_TOLERANCE_R = 15, 0.63  # candidates on cold spells, and the interval [m2K/W] that they leave
Part = Callable[[Plan, float], Plan]  # adds a resistance to one part of a plan
Coldest = Callable[[Batch, Control], Array]  # coldest water of each design [degC]


def needed_resistances(case: SimulationCase) -> RequiredInsulation | None:
    """Resistance that tank, top, beds or room would need alone, for a given heater to be enough. [m2K/W]

    The heater is the one owned, or else the largest set that the circuits carry beside pump and lights. A heated room
    may be as warm as the water needs.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.

    Returns
    -------
    RequiredInsulation or None
        None where the plan gives neither heaters nor a circuit.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    target = _target(case.plan)
    if target is None:
        return None
    parts = parts_of(case.plan)
    result = _smallest_resistances(case, list(parts.values()), target[0])
    if case.in_rare_cold is not None:
        result = np.maximum(result, _smallest_resistances(case.in_rare_cold, list(parts.values()), target[0]))
    if result[0] == 0.0:  # the tank's walls with nothing added are the plan itself
        result[:] = 0.0
    needed = [PartResistance(name, float(r) if np.isfinite(r) else None) for name, r in zip(parts, result, strict=True)]
    return RequiredInsulation(*target, tuple(needed))


def _smallest_resistances(case: SimulationCase, parts: list[Part], watts: float) -> Array:
    """The smallest resistance that is enough on each part, (part,). [m2K/W] Infinite where none is.

    The winters are first simulated to their last cold spell only, which leaves a small interval; whole winters give the
    result.
    """

    def smallest(
        part_index: Array, low: Array, high: Array, tolerance: float, coldest: Coldest, points: int | None = None
    ) -> Array:
        def margin(open_searches: Array, candidates: Array) -> Array:
            pairs = [
                (parts[part_index[search]], float(r))
                for row in candidates
                for search, r in zip(open_searches, row, strict=True)
            ]
            plans = [part(case.plan, r) for part, r in pairs]
            return _margins(case, plans, watts, coldest).reshape(candidates.shape)

        return smallest_feasible(margin, low, high, tolerance, high_is_feasible=False, initial_points=points)

    approach = spells_of_coldest(case.weather).approach

    def in_spells(batch: Batch, control: Control) -> Array:
        run = simulate_parallel(batch.network, approach, control, batch.floor_c, executor=SerialExecutor())
        return np.asarray(run.coldest_c.min(axis=1))

    all_parts = np.arange(len(parts))
    none, most = np.zeros(len(parts)), np.full(len(parts), MOST_R)
    needed = smallest(all_parts, none, most, FIRST_TOLERANCE_R, in_spells, FIRST_POINTS)
    possible = all_parts[np.isfinite(needed)]
    low = np.maximum(needed[possible] - FIRST_TOLERANCE_R, 0.0)
    final = smallest(possible, low, low + FIRST_TOLERANCE_R, TOLERANCE_R, in_winters)
    if np.isfinite(final).all():
        needed[possible] = final
        return needed
    return smallest(all_parts, none, most, TOLERANCE_R, in_winters)


def parts_of(plan: Plan) -> dict[str, Part]:
    """Each part of a plan that can be insulated, with a function that adds a resistance [m2K/W] to it."""
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
    """The heater power given [W], and where it comes from."""
    if plan.heater.units_w:
        return sum(plan.heater.units_w), "the heaters you own"
    if not plan.power.circuits:
        return None
    heaters, margin = largest_set(supply_of(plan)), watts_to_buy(plan, 1.0)
    most = f"{len(heaters)} × {heaters[0]:,.0f} W, the most that fits" if heaters else "no pair of heaters fits"
    why = f"{most} {' and '.join(plan.power.circuits)}, {percent_text(margin - 1.0)} in reserve"
    return sum(heaters) / margin, why


def _margins(case: SimulationCase, plans: list[Plan], watts: float, coldest: Coldest) -> Array:
    """Coldest water of each plan with a given heater, less the minimum, (plan,). [K]"""
    margins = np.zeros(len(plans))
    for batch in group_by_topology(plans, case.weather):
        designs = batch.network.designs
        setpoint = batch.setpoint_c + (WARMEST_ROOM_ABOVE_K if batch.heats_room else 0.0)
        control = Control(setpoint, np.full(designs, watts), np.zeros(designs))
        margins[batch.positions] = coldest(batch, control) - batch.floor_c + ROUNDING_K
    return margins


def in_winters(batch: Batch, control: Control) -> Array:
    """Coldest water of each design in all its winters, (design,). [degC]

    Parameters
    ----------
    batch : Batch
        The designs.
    control : Control
        Their heaters.
    """
    designs, winters = batch.network.designs, len(batch.weather.winters)
    design, every = np.repeat(np.arange(designs), winters), np.tile(np.arange(winters), designs)
    network, floor_c = batch.network.take(design), batch.floor_c[design]
    summaries = summaries_in_pieces if len(design) <= MOST_IN_PIECES else summaries_of_winters
    results = summaries(network, batch.weather, control.take(design), floor_c, NOTHING, every)
    return np.asarray(results["coldest_c"].reshape(-1, winters).min(axis=1))


def _with_wall_r(vessel: Vessel, r: float) -> Vessel:
    """A vessel with a resistance added to its walls."""
    return replace(vessel, wall_r_m2k_per_w=vessel.wall_r_m2k_per_w + r)


def _with_lid_r(vessel: Vessel, r: float) -> Vessel:
    """A vessel with a snug lid of a resistance on all of the water, day and night, on top of its present cover."""
    share, _ = snug_lid()
    return replace(
        vessel,
        evaporation=min(share, vessel.evaporation),
        night_evaporation=min(share, vessel.night_evaporation),
        lid_r_m2k_per_w=vessel.lid_r_m2k_per_w + r,
        night_lid_r_m2k_per_w=vessel.night_lid_r_m2k_per_w + r,
        opening=vessel.opening and vessel.opening.under_lid(share, more_r=r),
    )


def _with_room_r(plan: Plan, r: float) -> Plan:
    """The plan with a resistance added to the sides that face outdoors or the attic."""
    sides = tuple(
        replace(side, r_m2k_per_w=side.r_m2k_per_w + r) if side.faces in ("outdoors", "attic") else side
        for side in plan.room.sides
    )
    return replace(plan, room=replace(plan.room, sides=sides))
