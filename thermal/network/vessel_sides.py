"""Heat through the sides of vessels that face the house or outdoors, and not the air around the vessels."""

from __future__ import annotations

from collections.abc import Iterable

from thermal.physics.facing_wall import facing_transmittance
from thermal.plan.structure import FacingWall, Vessel


def side_conductance(vessel: Vessel, wall: FacingWall) -> float:
    """Conductance from a vessel's water to what one of its sides faces. [W/K]"""
    return wall.area_m2 * float(facing_transmittance(vessel.wall_r_m2k_per_w, wall.faces))


def faced_conductance(vessels: Iterable[Vessel], faces: str) -> float:
    """Conductance from the water of some vessels through all their sides that face one thing. [W/K]

    Parameters
    ----------
    vessels : iterable of Vessel
        The vessels.
    faces : str
        "house" or "outdoors".
    """
    return sum(side_conductance(vessel, wall) for vessel in vessels for wall in vessel.elsewhere if wall.faces == faces)
