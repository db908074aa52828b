"""Paths of heat in four groups that a grower can insulate: sides, top, bottom and air; and what they are called."""

from __future__ import annotations

from collections.abc import Mapping

from thermal.analysis.assessment import Assessment
from thermal.analysis.heat_balance import RADIATED_TO_SKY, SUN_ON_SIDES, SUN_THROUGH_WINDOWS
from thermal.core.facings import ROOF
from thermal.plan.model import Plan
from thermal.report.table_data import Rows, energy

SIDES, TOP, BOTTOM, AIR = "sides", "top", "bottom", "air"
CHANGE, HOUSE, GAINS, STORED = "water change", "house", "gains", "stored"
LOSSES = (SIDES, TOP, BOTTOM, AIR)  # in the order of every stack, legend and table
GROUPS = (*LOSSES, CHANGE, HOUSE, GAINS, STORED)
WATER_ENDS = (  # end of the name of a path out of the water, and its group
    (" walls", SIDES),
    ("pipes", SIDES),
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
    RADIATED_TO_SKY: TOP,
    SUN_ON_SIDES: GAINS,
    SUN_THROUGH_WINDOWS: GAINS,
}
PLAIN_ENDS = {
    " surface convection": ", air passing over the surface",
    " surface longwave": ", heat radiated by the surface",
    " evaporation": ", evaporation",
}
MEANINGS = {  # what each group holds, for the water and for the room
    "water": {
        SIDES: "walls of tank and beds, pipes",
        TOP: "surface or cover of the water",
        BOTTOM: "what tank and beds stand on",
        AIR: "evaporation, and the water that replaces it",
        GAINS: "pump and other devices",
    },
    "room": {
        SIDES: "walls, doors and windows",
        TOP: "ceiling or roof, and heat radiated to the sky",
        BOTTOM: "ground",
        AIR: "air change and moisture",
        HOUSE: "walls and doors to the house",
        GAINS: "pump, lamps, other devices and sun",
    },
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


def plain_path(path: str) -> str:
    """Name of a path of heat in plain words."""
    for end, words in PLAIN_ENDS.items():
        if path.endswith(end):
            return path.removesuffix(end) + words
    return path


def paths_table(assessment: Assessment, zone: str) -> Rows:
    """Table of every path of heat by group: watts at the hour of peak heat demand, kWh in the typical winter.

    Parameters
    ----------
    assessment : Assessment
        Result of `assess`.
    zone : str
        "water" or "room": what the paths lead out of. Without rows where the assessment has no such paths.
    """
    season, plan = assessment.season, assessment.case.plan
    heated = zone == zone_of(plan)
    peak = season.design_paths_w if heated else season.design_room_paths_w
    winter: dict[str, float] = {}
    for month in season.months:
        for path, kwh in (month.paths_kwh if heated else month.room_paths_kwh).items():
            winter[path] = winter.get(path, 0.0) + kwh
    rows = []
    for group in GROUPS:
        for path in dict.fromkeys((*peak, *winter)):
            if group == (water_group(path) if zone == "water" else room_group(path, plan)):
                figures = (heat_text(peak.get(path, 0.0)), heat_text(winter.get(path, 0.0)))
                rows.append((group, plain_path(path), *figures))
    span = assessment.case.season.span
    return Rows(("group", "path", "W at the hour of peak heat demand", f"kWh {span}"), tuple(rows), left=2)


def heat_text(heat: float) -> str:
    """Heat [W or kWh] as a number without unit, to ten from 100 on; a gain has a minus sign, and no zero has."""
    text = energy(heat)
    return "0" if text in ("-0", "0") else text.replace("-", "−")
