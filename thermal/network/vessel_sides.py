"""Heat out of vessels past the air around them: sides that face the house, outdoors or the ground, and bottoms."""

from __future__ import annotations

from collections.abc import Iterable

from thermal.physics.buried_vessel import buried_floor_transmittance, buried_wall_transmittance
from thermal.physics.facing_wall import facing_transmittance
from thermal.physics.wall_resistance import vessel_base_resistance
from thermal.plan.structure import FacingWall, FloorSlab, Vessel


def side_conductance(wall: FacingWall) -> float:
    """Conductance from a vessel's water to what one of its sides faces, house or outdoors. [W/K]"""
    return wall.area_m2 * float(facing_transmittance(wall.r_m2k_per_w, wall.faces))


def faced_conductance(vessels: Iterable[Vessel], faces: str) -> float:
    """Conductance from the water of some vessels through all their sides that face one thing. [W/K]

    Parameters
    ----------
    vessels : iterable of Vessel
        The vessels.
    faces : str
        "house" or "outdoors".
    """
    return sum(side_conductance(wall) for vessel in vessels for wall in vessel.elsewhere if wall.faces == faces)


def buried_wall_conductance(vessel: Vessel, floor: FloorSlab) -> float:
    """Conductance from a vessel's water through its walls below the floor to the floor around it. [W/K]"""
    below = [wall for wall in vessel.elsewhere if wall.faces == "ground"]
    shape, k = (vessel.buried_m, vessel.breadth_m), floor.soil_w_per_mk
    return sum(wall.area_m2 * float(buried_wall_transmittance(*shape, wall.r_m2k_per_w, k)) for wall in below)


def base_conductance(vessel: Vessel, floor: FloorSlab, given_air: bool) -> float:
    """Conductance from a vessel's water through its bottom to the slab, or to the air. [W/K]

    Parameters
    ----------
    vessel : Vessel
        The vessel. What it stands on decides where the heat goes; sunk into the floor, to the floor around it.
    floor : FloorSlab
        The floor of the room.
    given_air : bool
        True where the plan gives the room's air temperature: the floor then has that temperature too.
    """
    if vessel.base == "ground":
        u = buried_floor_transmittance(vessel.breadth_m, vessel.base_r_m2k_per_w, floor.soil_w_per_mk)
        return vessel.bottom_m2 * float(u)
    return vessel.bottom_m2 / float(vessel_base_resistance(vessel.base_r_m2k_per_w, vessel.base, given_air))
