"""Condensation, mould and fog: hours at the coldest inner surface of the room, the skin of the hut and other surfaces.

Only the coldest side takes vapour from the air in the simulation. On every other surface the hours are counted after
it: how long the surface lies below the dew point of the simulated air, not how much water forms. That is on the safe
side, as water on those surfaces would dry the air a little.
"""

from __future__ import annotations

from thermal.analysis.case import SimulationCase, WinterHours
from thermal.analysis.results import MoistureHours, WetSurface
from thermal.core.arrays import Array
from thermal.network.build import covered_m2
from thermal.network.envelope import side_path
from thermal.physics.condensation import (
    corner_drop_share,
    is_condensing,
    is_foggy,
    is_mould_possible,
    layer_drop_share,
    surface_drop_share,
    surface_temperature,
)
from thermal.physics.moist_air import vapour_pressure
from thermal.physics.wall_resistance import R_INSIDE, slab_resistance
from thermal.plan.model import Plan

HUT_SKIN = "skin of the hut"
SLAB = "slab"


def moisture_hours(case: SimulationCase, hours: WinterHours) -> MoistureHours:
    """Hours of condensation, of possible mould and of fog in one winter. [h]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    hours : WinterHours
        One winter of one design.
    """
    room = case.network.room_air
    if room is None or room.node is None:
        return MoistureHours("", 0, 0)
    beyond = hours.outdoor_c if room.beyond_node is None else hours.mean(room.beyond_node)
    ratio = hours.hourly_output.ratio[:, hours.column]
    inside, vapour = hours.mean(room.node), vapour_pressure(ratio, case.weather.pressure_pa)
    wet = is_condensing(vapour, surface_temperature(inside, beyond, room.coldness))
    mouldy = is_mould_possible(vapour, surface_temperature(inside, beyond, corner_drop_share(room.coldness)))
    side = HUT_SKIN if room.beyond_node is not None else case.envelope.coldest_side if case.envelope else ""
    return MoistureHours(
        side,
        int(wet.sum()),
        int(mouldy.sum()),
        int(is_foggy(vapour, inside).sum()),
        _wet_surfaces(case, hours, inside, vapour),
    )


def _wet_surfaces(
    case: SimulationCase, hours: WinterHours, inside_c: Array, vapour_pa: Array
) -> tuple[WetSurface, ...]:
    """Hours of condensation on the bare slab, on windows and on the walls of vessels."""
    nodes, plan = case.network.nodes, case.plan
    surfaces = []
    for name, node, share in _surface_paths(plan):
        beyond_c = hours.outdoor_c if node == "" else hours.mean(nodes.index(node))
        wet = is_condensing(vapour_pa, surface_temperature(inside_c, beyond_c, share))
        surfaces.append(WetSurface(name, int(wet.sum())))
    return tuple(surfaces)


def _surface_paths(plan: Plan) -> list[tuple[str, str, float]]:
    """Name of each surface, the node behind it ("" for outdoors), and the film's share of the drop to there. [-]"""
    paths = []
    if plan.room.floor_m2 > covered_m2(plan):
        floor_r = plan.room.floor.r_m2k_per_w
        paths.append((SLAB, "slab", float(R_INSIDE["down"] / slab_resistance(floor_r))))
    if plan.hut is None:
        windows = [side for side in plan.room.sides if side.g > 0.0 and side.faces == "outdoors"]
        paths += [(side.name, "", float(surface_drop_share(side_path(side).u_w_per_m2k))) for side in windows]
    for node, vessels in (("bed", plan.beds), ("tank", plan.tanks)):
        paths += [
            (f"{vessel.name} walls", node, float(layer_drop_share(vessel.wall_r_m2k_per_w)))
            for vessel in vessels
            if vessel.wall_m2 > 0.0
        ]
    return paths
