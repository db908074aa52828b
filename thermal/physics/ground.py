"""Slab on ground: the steady loss and the yearly swing, for a floor of any insulation.

The march keeps a slab node and 0.5 m of soil; what lies beyond is one resistance to a virtual ground
temperature, chosen so that steady loss and yearly swing are those of the standard (ISO 52016-1 does the same).
Section numbers are from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

SECONDS_PER_YEAR = 3.15e7  # the figure ISO 13370 itself uses
R_FLOOR_INSIDE = 0.17  # heat flow down, ISO 6946:2017 table 7
R_FLOOR_OUTSIDE = 0.04


@dataclass(frozen=True)
class Soil:
    """Ground under a slab: conductivity [W/mK] and heat capacity [J/m3K]."""

    conductivity_w_per_mk: float
    capacity_j_per_m3k: float


def equivalent_thickness(floor_r: float, soil: Soil, wall_m: float = 0.3) -> float:
    """Thickness of soil that insulates like the floor itself, d_t. [m] Source: ISO 13370:2017 section 7.1."""
    return wall_m + soil.conductivity_w_per_mk * (R_FLOOR_INSIDE + floor_r + R_FLOOR_OUTSIDE)


def floor_transmittance(area_m2: float, perimeter_m: float, floor_r: float, soil: Soil, wall_m: float = 0.3) -> float:
    """Steady U-value of a slab on ground, without edge insulation. [W/m2K]

    Source: ISO 13370:2017 section 7.2, characteristic dimension B' = A/(P/2).
    """
    b = area_m2 / (0.5 * perimeter_m)
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    k = soil.conductivity_w_per_mk
    if d_t < b:
        return 2.0 * k / (math.pi * b + d_t) * math.log(math.pi * b / d_t + 1.0)
    return k / (0.457 * b + d_t)


def edge_correction(
    floor_r: float,
    edge_r: float,
    depth_m: float,
    soil: Soil,
    vertical: bool = True,
    edge_m: float = 0.05,
    wall_m: float = 0.3,
) -> float:
    """Change of the loss for each metre of perimeter by edge insulation (negative). [W/mK]

    Source: ISO 13370:2017 annex B; a vertical strip of depth D counts as a horizontal one of 2D.
    edge_m is the strip's own thickness, which takes the place of as much soil.
    """
    k = soil.conductivity_w_per_mk
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    extra = edge_r * k - edge_m
    reach = 2.0 * depth_m if vertical else depth_m
    return -(k / math.pi) * (math.log(reach / d_t + 1.0) - math.log(reach / (d_t + extra) + 1.0))


def penetration_depth(soil: Soil) -> float:
    """Depth at which the yearly wave has fallen to 1/e, delta. [m] Source: ISO 13370:2017 annex H."""
    return math.sqrt(SECONDS_PER_YEAR * soil.conductivity_w_per_mk / (math.pi * soil.capacity_j_per_m3k))


def outdoor_swing_conductance(
    perimeter_m: float,
    floor_r: float,
    soil: Soil,
    edge_r: float = 0.0,
    depth_m: float = 0.0,
    vertical: bool = True,
    wall_m: float = 0.3,
) -> float:
    """Loss amplitude for each kelvin of the yearly outdoor amplitude, H_pe. [W/K]

    An insulated edge takes its share of the wave. Source: ISO 13370:2017 annex H.
    """
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    delta = penetration_depth(soil)
    open_edge = math.log(delta / d_t + 1.0)
    behind = math.log(delta / (d_t + edge_r * soil.conductivity_w_per_mk) + 1.0)
    through = math.exp(-(2.0 if vertical else 1.0) * depth_m / delta)
    return 0.37 * perimeter_m * soil.conductivity_w_per_mk * ((1.0 - through) * behind + through * open_edge)


def swing_lag_months(floor_r: float, soil: Soil, wall_m: float = 0.3) -> float:
    """Months by which the ground loss trails the outdoor swing, beta. Source: ISO 13370:2017 annex H."""
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    return 1.5 - 0.42 * math.log(penetration_depth(soil) / (d_t + 1.0))
