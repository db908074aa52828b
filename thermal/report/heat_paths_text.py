"""Every path of heat in plain words, by group, as a table: the details behind the drawing and the chart of months."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.heat_groups import AIR, BOTTOM, GAINS, GROUPS, HOUSE, SIDES, TOP, room_group, water_group, zone_of
from thermal.report.table_data import Rows, heat_text

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
    heads = ("group", "path", "W at the hour of peak heat demand", f"kWh {assessment.case.season.span}")
    if zone == "water" and not heated:
        return Rows(heads, (), left=2)
    peak = season.design_paths_w if heated else season.design_room_paths_w
    winter: dict[str, float] = {}
    for month in season.months:
        for path, kwh in (month.paths_kwh if heated else month.room_paths_kwh).items():
            winter[path] = winter.get(path, 0.0) + kwh
    rows = []
    for group in GROUPS:
        paths = [
            path
            for path in dict.fromkeys((*peak, *winter))
            if group == (water_group(path) if zone == "water" else room_group(path, plan))
        ]
        figures = [(peak.get(path, 0.0), winter.get(path, 0.0)) for path in paths]
        if len(paths) > 1:
            sums = [heat_text(sum(column)) for column in zip(*figures, strict=True)]
            rows.append((group, f"all: {MEANINGS[zone].get(group, group)}", *sums))
        for path, (power, energy) in zip(paths, figures, strict=True):
            rows.append((group, plain_path(path), heat_text(power), heat_text(energy)))
    return Rows(heads, tuple(rows), left=2)
