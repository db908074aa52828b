"""Whether a plan can be built: its vessels fit the room, and its sides are not larger than the room."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits
from thermal.errors import Fault
from thermal.plan.passive_water import bottoms_m2

if TYPE_CHECKING:
    from thermal.plan.room_tables import RoomTable
    from thermal.plan.schema import PlanTable
    from thermal.plan.system_tables import TankTable

MOST_SIDES = 1.5  # area of the sides over that of walls and ceiling of a room of this size


def physical_faults(plan: PlanTable) -> list[str]:
    """Reasons why the plan cannot be built, one sentence each; empty where it can.

    Parameters
    ----------
    plan : PlanTable
        The tables of the plan, every key valid in itself.
    """
    vessels = [("tank", number, table) for number, table in enumerate(plan.tank, start=1)]
    vessels += [("bed", number, table) for number, table in enumerate(plan.bed, start=1)]
    units = UNIT_SYSTEMS[plan.show.units]
    faults = [
        fault
        for kind, number, table in vessels
        for fault in _vessel_faults(f"{kind} {number} ({table.name!r})", table, plan.room, units)
    ]
    on_slab = sum(_footprint_m2(table) for _, _, table in vessels if table.stands_on.lower().endswith("slab"))
    on_slab += sum(bottoms_m2(table.count, table.volume) for table in plan.barrel)
    floor_m2 = plan.room.length * plan.room.width
    what = "tanks, beds and barrels" if plan.barrel else "tanks and beds"
    if on_slab > floor_m2:
        faults.append(
            Fault(
                f"{what} on the slab take {_area(units, on_slab)}, more than the floor of the room"
                f" ({_area(units, floor_m2)}); correct their sizes or count, write"
                ' stands_on = "frame" for beds above one another, or a larger room',
                ("room", "length"),
            )
        )
    whole = 2.0 * (plan.room.length + plan.room.width) * plan.room.height + floor_m2
    sides_m2 = sum(side.area for side in plan.room.side)
    if sides_m2 > MOST_SIDES * whole:
        faults.append(
            f"room, side: the sides add up to {_area(units, sides_m2)}, but walls and ceiling of a room of this size"
            f" have {_area(units, whole)}; correct the areas, or the room's length, width and height"
        )
    return faults


def _vessel_faults(place: str, table: TankTable, room: RoomTable, units: DisplayUnits) -> list[str]:
    """Why one vessel does not fit its room."""
    long, short = max(_sides_m(table)), min(_sides_m(table))
    faults = []

    def size(length_m: float) -> str:
        return f"{round(units.value('length', length_m), 2):g} {units.unit('length')}"

    if long > max(room.length, room.width) or short > min(room.length, room.width):
        faults.append(
            f"{place}: {size(long)} x {size(short)} does not fit the room of {size(room.length)} x {size(room.width)}"
            " either way round; correct the vessel or the room"
        )
    buried = any(side.faces == "ground" for side in room.side)
    if table.water_depth - (table.buried_depth or 0.0) > room.height and not buried:
        faults.append(
            f"{place}, water_depth: {size(table.water_depth)} of water is deeper than the room is high"
            f" ({size(room.height)}); correct one of them"
        )
    return faults


def _area(units: DisplayUnits, area_m2: float) -> str:
    """An area [m2] as text, with its unit as a plan writes it."""
    return units.text("area", area_m2).replace("²", "2")


def _sides_m(table: TankTable) -> tuple[float, float]:
    """Length and width of a vessel; of a round one its diameter, twice. [m]"""
    if table.shape == "round":
        return table.diameter or 0.0, table.diameter or 0.0
    return table.length or 0.0, table.width or 0.0


def _footprint_m2(table: TankTable) -> float:
    """Area of the floor under the vessels of a table. [m2]"""
    length, width = _sides_m(table)
    share = math.pi / 4.0 if table.shape == "round" else 1.0
    return table.count * length * width * share
