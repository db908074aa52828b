"""Walls and bottom of a vessel: what each side faces, and the areas and resistances that follow."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from thermal.data import constructions
from thermal.plan.structure import FacingWall

if TYPE_CHECKING:
    from thermal.plan.system_tables import TankTable


def surface_and_perimeter(entry: TankTable) -> tuple[float, float]:
    """Area of the surface [m2] and perimeter [m] of one vessel."""
    if entry.shape == "round":
        assert entry.diameter is not None
        return math.pi * entry.diameter**2 / 4.0, math.pi * entry.diameter
    assert entry.length is not None
    assert entry.width is not None
    return entry.length * entry.width, 2.0 * (entry.length + entry.width)


def wall_resistance(entry: TankTable) -> float:
    """Resistance of a vessel's walls with their insulation. [m2K/W]"""
    return constructions.resistance(entry.walls) + constructions.resistance(entry.insulation)


def base_of(entry: TankTable) -> tuple[str, float]:
    """What the vessel stands on, and the resistance of its bottom with the layers beneath [m2K/W]."""
    match = re.fullmatch(r"(?:(.+?)\s+on\s+)?(slab|frame)", entry.stands_on, re.IGNORECASE)
    assert match is not None
    beneath = constructions.resistance(match[1]) if match[1] else 0.0
    base = "ground" if entry.buried_depth else match[2].lower()
    return base, constructions.resistance(entry.walls) + beneath


def height_in_air(entry: TankTable) -> float:
    """Height of the wetted walls above the floor that a vessel stands on or is sunk into. [m]"""
    return max(entry.water_depth - (entry.buried_depth or 0.0), 0.0)


def facing_walls(entry: TankTable) -> tuple[FacingWall, ...]:
    """The sides of the vessels of a table that face something else than the air around them, the ground included."""
    across = {"front": entry.length, "back": entry.length, "left": entry.width, "right": entry.width}
    r = wall_resistance(entry)
    sides = tuple(
        FacingWall(side, getattr(entry, side), entry.count * (across[side] or 0.0) * height_in_air(entry), r)
        for side in across
        if getattr(entry, side) != "room"
    )
    if not entry.buried_depth:
        return sides
    _, perimeter = surface_and_perimeter(entry)
    below = entry.count * perimeter * (entry.water_depth - height_in_air(entry))
    return (*sides, FacingWall("walls below the floor", "ground", below, r))
