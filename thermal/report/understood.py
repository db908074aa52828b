"""What `check` says: the plan as it was understood, in figures a grower can compare with the tape measure."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from thermal.air import SEA_LEVEL_PA
from thermal.assemble import plan_envelope
from thermal.plan import Plan, Vessel
from thermal.units import SHOWN


def print_plan(plan: Plan, console: Console) -> None:
    """Vessels, room and keep as understood."""
    units = SHOWN[plan.units]
    console.print(f"[bold]{escape(plan.title)}[/]: {units.text('volume', plan.water_m3, 0)} of water")
    floor = units.text("temperature", plan.keep.floor_c)
    console.print(f"keep at or above {floor}, thermostat {units.text('temperature', plan.keep.thermostat_c)}")
    table = Table(box=box.SIMPLE, pad_edge=False)
    for head in ("vessel", "water", "surface", "walls", "wall R", "top", "stands on"):
        table.add_column(head, justify="left" if head in ("vessel", "top", "stands on") else "right")
    for vessel in plan.tanks + plan.beds:
        table.add_row(*_vessel_row(vessel, plan))
    console.print(table)
    if plan.hut is not None:
        hut = plan.hut
        r, skin = units.text("resistance", hut.r_m2k_per_w, 2), units.text("area", hut.skin_m2)
        console.print(f"hut: {escape(hut.build)}, skin {skin}, R {r}, {hut.air_changes_per_h:g} air changes an hour")
    _print_room(plan, console)


def _vessel_row(vessel: Vessel, plan: Plan) -> tuple[str, ...]:
    units = SHOWN[plan.units]
    return (
        escape(vessel.name + (f" ×{vessel.count}" if vessel.count > 1 else "")),
        units.text("volume", vessel.water_m3, 0),
        units.text("area", vessel.surface_m2),
        units.text("area", vessel.wall_m2),
        units.text("resistance", vessel.wall_r_m2k_per_w, 2),
        escape(vessel.top),
        vessel.base,
    )


def _print_room(plan: Plan, console: Console) -> None:
    units, room = SHOWN[plan.units], plan.room
    envelope = plan_envelope(plan, SEA_LEVEL_PA)
    if envelope is None:
        console.print(f"room air is given: {units.text('temperature', room.temperature_c)}")
        return
    table = Table(box=box.SIMPLE, pad_edge=False)
    for head in ("room", "area", "build", "faces", "conductance"):
        table.add_column(head, justify="right" if head in ("area", "conductance") else "left")
    for side, path in zip(room.sides, envelope.sides, strict=True):
        conductance = units.text("conductance", path.ua_w_per_k)
        table.add_row(escape(side.name), units.text("area", side.area_m2), escape(side.build), side.faces, conductance)
    air = units.text("conductance", envelope.change_kg_s * 1006.0)
    table.add_row("air change", "", f"{room.air_changes_per_h:g} per hour ({escape(room.leakiness)})", "outdoors", air)
    ground = units.text("conductance", envelope.floor_steady)
    table.add_row("floor", units.text("area", room.floor_m2), escape(room.floor.build), "ground", ground)
    console.print(table)
