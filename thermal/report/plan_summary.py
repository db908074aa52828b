"""What `check` prints: the plan as it was read, in figures that a grower can compare with measurements."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from rich.console import Console
from rich.markup import escape

from thermal.analysis.heat_loss_table import Part, room_parts, vessel_name, water_parts
from thermal.analysis.odd_values import odd_values
from thermal.core.display_units import UNIT_SYSTEMS, percent_text
from thermal.physics.constants import RHO_WATER
from thermal.plan.model import Plan
from thermal.plan.structure import Vessel
from thermal.report.table_data import Rows
from thermal.report.terminal_tables import rows
from thermal.report.uncertainty_text import presets_table

PRESET_KEYS = ("preset", "taken as", "from", "to", "unit")  # keys of the JSON; the table's headings differ
BAR = 10  # characters of the longest bar
LEAST_COLUMNS = 20
COLUMNS = 60  # largest width of the drawing; a line is twice as high as a column is wide
FRAME_M = 0.5  # height of a frame in the drawing


def print_plan(plan: Plan, console: Console) -> None:
    """Print vessels, a drawing to scale, the conductance of every part, and assumed values.

    Parameters
    ----------
    plan : Plan
        The plan.
    console : Console
        Where to print.
    """
    units = UNIT_SYSTEMS[plan.units]
    console.print(f"[bold]{escape(plan.title)}[/]: {units.text('volume', plan.water_m3, 0)} of water")
    floor = units.text("temperature", plan.keep.floor_c)
    console.print(
        f"minimum water temperature {floor}, thermostat setting {units.text('temperature', plan.keep.thermostat_c)}"
    )
    console.print(rows(_vessels_table(plan)))
    for line in elevation(plan, max(LEAST_COLUMNS, min(COLUMNS, console.width - 2))):
        console.print(line, markup=False, highlight=False)
    if plan.room.temperature_c is not None:
        console.print(f"\nroom air temperature is given: {units.text('temperature', plan.room.temperature_c)}")
    if plan.hut is not None:
        hut = plan.hut
        beyond = hut.air_from if hut.air_from == "outdoors" else f"the {hut.air_from}"
        r, skin = units.text("resistance", hut.r_m2k_per_w, 2), units.text("area", hut.skin_m2)
        console.print(
            f"\nhut: {escape(hut.build)}, outer area {skin}, R-value {r}, {hut.air_changes_per_h:g}"
            f" air {'change' if hut.air_changes_per_h == 1.0 else 'changes'} an hour with {beyond}"
        )
    for line in (*_barrel_lines(plan), *_drying_lines(plan)):
        console.print(line, highlight=False)
    console.print(rows(_parts_table(plan, "water", list(water_parts(plan)))))
    if room := list(room_parts(plan)):
        console.print(rows(_parts_table(plan, "room", room)))
    for warning in odd_values(plan):
        console.print(f"[bold]![/] {escape(warning.text)}")
    assumed = presets_table(plan, units)
    if assumed.cells:
        console.print("Assumed values (put a measured value in the plan to replace one):")
        console.print(rows(assumed))


def _barrel_lines(plan: Plan) -> list[str]:
    """The groups of barrels of a plan, a line each."""
    units = UNIT_SYSTEMS[plan.units]
    places = {"system": "in the air around the tank", "room": "in the room"}
    return [
        f"\n{escape(barrel.name)}: {barrel.count} × {units.text('volume', barrel.each_m3, 0)} outside the system,"
        f" {places[barrel.where]}, wall R-value {units.text('resistance', barrel.wall_r_m2k_per_w, 2)}"
        for barrel in plan.barrels
    ]


def _drying_lines(plan: Plan) -> list[str]:
    """The dehumidifier and the fan by humidity of a plan, a line each."""
    lines, dryer, fan, units = [], plan.dehumidifier, plan.fan, UNIT_SYSTEMS[plan.units]
    if dryer is not None:
        daily = f"{units.text('volume', dryer.capacity_kg_s * 86400.0 / RHO_WATER)} a day"
        at = f"above {percent_text(dryer.humidity)} relative humidity"
        lines.append(f"\ndehumidifier: {dryer.kind}, {daily}, {dryer.power_w:,.0f} W, {at}")
    if fan is not None:
        flow, at = units.text("air_flow", fan.flow_m3_s, 0), f"above {percent_text(fan.humidity)} relative humidity"
        lines.append(f"\nfan: {flow} of outdoor air, {fan.power_w:,.0f} W, {at}")
    return lines


def plan_figures(plan: Plan) -> dict[str, Any]:
    """Conductance of every part [W/K], warnings and assumed values as plain values."""
    presets = presets_table(plan, UNIT_SYSTEMS["metric"])
    return {
        "water_parts": [water_part._asdict() for water_part in water_parts(plan)],
        "warnings": [asdict(warning) for warning in odd_values(plan)],
        "room_parts": [room_part._asdict() for room_part in room_parts(plan)],
        "presets": [dict(zip(PRESET_KEYS, cells, strict=True)) for cells in presets.cells],
    }


def elevation(plan: Plan, columns: int = COLUMNS) -> list[str]:
    """Lines of a drawing that shows the room from the side and its vessels to scale.

    A vessel is drawn as wide as a square of its bottom area; of several equal vessels at most six are drawn. A length
    that is wrong by a factor of ten is easy to see. The drawing is some columns wide, without its frame.
    """
    vessels = [vessel for vessel in plan.tanks + plan.beds for _ in range(min(vessel.count, 6))]
    widths = [math.sqrt(vessel.bottom_m2 / vessel.count) for vessel in vessels]
    width_m = max(plan.room.length_m, sum(widths) + 0.3 * (len(widths) + 1))
    column = width_m / columns
    height = max(1, round(plan.room.height_m / (2 * column)))
    height = max(height, *(_lines(_drawn_m(vessel) + _height_above_floor(vessel), column) for vessel in vessels))
    canvas = [[" "] * columns for _ in range(height)]
    start = max(1, round(0.3 / column))
    for vessel, width in zip(vessels, widths, strict=True):
        across, depth = max(2, round(width / column)), _lines(_drawn_m(vessel), column)
        legs = _lines(_height_above_floor(vessel), column) if _height_above_floor(vessel) else 0
        for line in range(depth + legs):
            row = canvas[height - 1 - line]
            inside = " " if line < legs else "~" if line == depth + legs - 1 else "≈"
            for x in range(start, min(start + across, columns)):
                row[x] = "│" if x in (start, start + across - 1) else inside
        start += across + max(1, round(0.3 / column))
    walls = len(plan.room.sides) > 0
    left, right, top = ("│", "│", "─") if walls else ("┆", "┆", "┄")
    units = UNIT_SYSTEMS[plan.units]
    scale = f"one column is {units.text('length', column, 2)}, one line is {units.text('length', 2 * column, 2)}"
    names = ", ".join(vessel_name(vessel) for vessel in plan.tanks + plan.beds)
    sunk = ", ".join(vessel_name(vessel) for vessel in plan.tanks + plan.beds if vessel.buried_m)
    return [
        "┌" + top * columns + "┐",
        *(left + "".join(row) + right for row in canvas),
        "└" + "─" * columns + "┘",
        f"drawn to scale: {scale}; left to right: {names}" + (f"; not drawn: {sunk} below the floor" if sunk else ""),
    ]


def _lines(metres: float, column: float) -> int:
    """A height [m] in lines of the drawing."""
    return max(1, round(metres / (2 * column)))


def _drawn_m(vessel: Vessel) -> float:
    """Depth of a vessel's water above the floor of the room, at least a line of the drawing. [m]"""
    return max(vessel.depth_m - vessel.buried_m, 0.0)


def _height_above_floor(vessel: Vessel) -> float:
    """Height of a vessel's bottom above the floor of the room. [m]"""
    return FRAME_M if vessel.base == "frame" else 0.0


def _vessels_table(plan: Plan) -> Rows:
    """Table of the vessels."""
    units = UNIT_SYSTEMS[plan.units]
    return Rows(
        ("vessel", "top", "stands on", "water", "water depth", "surface", "wall area", "wall R-value"),
        tuple(
            (
                vessel_name(vessel), vessel.top, vessel.base, units.text("volume", vessel.water_m3, 0),
                units.text("length", vessel.depth_m, 2), units.text("area", vessel.surface_m2),
                units.text("area", vessel.wall_m2), units.text("resistance", vessel.wall_r_m2k_per_w, 2),
            )
            for vessel in plan.tanks + plan.beds
        ),
        left=3,
    )  # fmt: skip


def _parts_table(plan: Plan, what: str, parts: list[Part]) -> Rows:
    """Table of conductances with bars to scale."""
    units, most = UNIT_SYSTEMS[plan.units], max(part.w_per_k for part in parts)
    return Rows(
        (f"heat loss of the {what}", "build", "to", "", "area", "per degree"),
        tuple(
            (
                part.name, part.build, part.to, "█" * round(BAR * part.w_per_k / most) if most > 0 else "",
                "" if part.area_m2 is None else units.text("area", part.area_m2),
                units.text("conductance", part.w_per_k),
            )
            for part in parts
        ),
        left=4,
    )  # fmt: skip
