"""Water that stands in the room and is no part of the system: barrels, bottles, jugs."""

from __future__ import annotations

import math
from dataclasses import dataclass

HEIGHT_OVER_DIAMETER = 1.5  # of a drum of 208 L, 0.88 m by 0.58 m; from memory


def diameter_of(each_m3: float) -> float:
    """Diameter of a barrel of some water, as a cylinder of the height of a drum. [m]"""
    return float((each_m3 / (math.pi / 4.0 * HEIGHT_OVER_DIAMETER)) ** (1.0 / 3.0))


def bottoms_m2(count: int, each_m3: float) -> float:
    """Floor that some equal barrels take. [m2]"""
    return count * math.pi / 4.0 * diameter_of(each_m3) ** 2


@dataclass(frozen=True)
class Barrel:
    """A group of equal closed containers of water, upright on the floor.

    Attributes
    ----------
    name : str
        Its name.
    count : int
        How many.
    each_m3 : float
        Water in each [m3].
    where : str
        The air around it: system (as around the tank) or room.
    wall_r_m2k_per_w : float
        Resistance of its walls [m2K/W].
    """

    name: str
    count: int
    each_m3: float
    where: str
    wall_r_m2k_per_w: float

    @property
    def water_m3(self) -> float:
        """Water in all of them. [m3]"""
        return self.count * self.each_m3

    @property
    def bottom_m2(self) -> float:
        """Bottoms of all of them. [m2]"""
        return bottoms_m2(self.count, self.each_m3)

    @property
    def in_air_m2(self) -> float:
        """Walls and tops of all of them. [m2]"""
        return self.bottom_m2 * (1.0 + 4.0 * HEIGHT_OVER_DIAMETER)
