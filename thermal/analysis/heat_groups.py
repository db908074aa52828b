"""Paths of heat in four groups that a grower can insulate: sides, top, bottom and air."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from thermal.analysis.heat_balance import (
    BELOW_FLOOR,
    HUT_AIR_FROM_HOUSE,
    RADIATED_TO_SKY,
    SUN_ON_SIDES,
    SUN_THROUGH_WINDOWS,
    TO_HOUSE,
    TO_OUTDOORS,
)
from thermal.analysis.results import Month
from thermal.core.facings import ROOF
from thermal.plan.model import Plan

SIDES, TOP, BOTTOM, AIR = "sides", "top", "bottom", "air"
CHANGE, HOUSE, GAINS, STORED = "water change", "house", "gains", "stored"
LOSSES = (SIDES, TOP, BOTTOM, AIR)  # in the order of every stack, legend and table
GROUPS = (*LOSSES, CHANGE, HOUSE, GAINS, STORED)
SEEN = 0.004  # share of the tallest stack below which a chart leaves a group out
WATER_ENDS = (  # end of the name of a path out of the water, and its group
    (" walls", SIDES),
    ("pipes", SIDES),
    (BELOW_FLOOR, SIDES),
    (TO_HOUSE, SIDES),
    (TO_OUTDOORS, SIDES),
    (" surface convection", TOP),
    (" surface longwave", TOP),
    (" bottom", BOTTOM),
    (" evaporation", AIR),
    ("make-up water", AIR),
)
ROOM_NAMES = {
    "thermal bridges": SIDES,
    "ground": BOTTOM,
    "air change": AIR,
    "moisture and make-up water": AIR,
    "transpiration of plants": AIR,
    "vapour of other gains": AIR,
    RADIATED_TO_SKY: TOP,
    SUN_ON_SIDES: GAINS,
    SUN_THROUGH_WINDOWS: GAINS,
    HUT_AIR_FROM_HOUSE: HOUSE,
    "tank" + TO_HOUSE: HOUSE,
    "bed" + TO_HOUSE: HOUSE,
    "tank" + TO_OUTDOORS: SIDES,
    "bed" + TO_OUTDOORS: SIDES,
}


def zone_of(plan: Plan) -> str:
    """What the heater heats, "water" or "room": the paths of months and peak hour lead out of it."""
    return "room" if plan.heater.where == "room" and plan.room.temperature_c is None else "water"


def water_group(path: str) -> str:
    """Group of a path of heat out of the water."""
    if path == CHANGE:
        return CHANGE
    if path == "stored in water":
        return STORED
    return next((group for end, group in WATER_ENDS if path.endswith(end)), GAINS)


def room_group(path: str, plan: Plan) -> str:
    """Group of a path of heat out of the room."""
    side = next((side for side in plan.room.sides if side.name == path), None)
    if side is not None:
        if side.faces == "house":
            return HOUSE
        above = side.faces == "attic" or side.facing == ROOF
        return TOP if above else SIDES
    return {CHANGE: CHANGE, "stored": STORED, **ROOM_NAMES}.get(path, GAINS)


def past_the_room(path: str) -> bool:
    """Whether a path leads from the water to what is beyond the room, and not through its air."""
    return path.endswith((TO_HOUSE, TO_OUTDOORS))


def group_sums(paths: Mapping[str, float], plan: Plan, zone: str) -> dict[str, float]:
    """Sum of the heat of each group that has a path, losses first.

    Parameters
    ----------
    paths : dict of str to float
        Heat by each path; losses are positive.
    plan : Plan
        The plan.
    zone : str
        "water" or "room": what the paths lead out of.

    Returns
    -------
    dict of str to float
        In the order of `GROUPS`, in the unit of the paths.
    """
    sums = dict.fromkeys(GROUPS, 0.0)
    present = set()
    for path, heat in paths.items():
        group = water_group(path) if zone == "water" else room_group(path, plan)
        sums[group] += heat
        present.add(group)
    return {group: heat for group, heat in sums.items() if group in present}


def month_groups(months: Sequence[Month], plan: Plan) -> list[dict[str, float]]:
    """Heat of each group that can be seen in a chart, month by month, in the order of `GROUPS`. [kWh]

    Parameters
    ----------
    months : sequence of Month
        The months.
    plan : Plan
        The plan.
    """
    sums = [group_sums(month.paths_kwh, plan, zone_of(plan)) for month in months]
    tallest = max((sum(max(kwh, 0.0) for kwh in each.values()) for each in sums), default=0.0)
    largest = {group: max((abs(each.get(group, 0.0)) for each in sums), default=0.0) for group in GROUPS}
    seen = [group for group in GROUPS if largest[group] > SEEN * tallest]
    return [{group: each.get(group, 0.0) for group in seen} for each in sums]


def legend_order(months: Sequence[Mapping[str, float]]) -> list[str]:
    """The groups of `month_groups` from top to bottom, as they lie in the stacks: losses in reverse, then gains."""
    groups = list(months[0]) if months else []
    losses = [group for group in groups if sum(month[group] for month in months) >= 0.0]
    return [*reversed(losses), *(group for group in groups if group not in losses)]


def stack_order(groups: Mapping[str, float], legend: Sequence[str]) -> dict[str, float]:
    """The groups of one month in the order in which they are laid on the zero line, so that all follow the legend.

    Parameters
    ----------
    groups : dict of str to float
        Heat of each group [kWh].
    legend : sequence of str
        The groups from top to bottom.
    """
    upwards = {group: groups[group] for group in reversed(legend) if groups[group] >= 0.0}
    return upwards | {group: groups[group] for group in legend if groups[group] < 0.0}
