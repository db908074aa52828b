"""Slab on ground: the steady loss and the yearly swing, for a floor of any insulation.

A simulation keeps a slab node and 0.5 m of soil; what lies beyond is one resistance to a virtual ground temperature,
chosen so that steady loss and yearly swing are those of the standard (ISO 52016-1 does the same). Section numbers
are from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.wall_resistance import R_INSIDE, R_OUTSIDE, SLAB_FINISH_R, slab_resistance

SECONDS_PER_YEAR = 3.15e7  # the figure ISO 13370 itself uses
SOIL_LAYER_M = 0.5  # soil that follows the room within a winter, ISO 52016-1:2017 section 6.5.8.2 (from memory)


@dataclass(frozen=True)
class Soil:
    """Ground under a slab: conductivity [W/mK] and heat capacity [J/m3K]."""

    conductivity_w_per_mk: float
    capacity_j_per_m3k: float


@dataclass(frozen=True)
class EdgeInsulation:
    """A strip of insulation along the slab's edge.

    Attributes
    ----------
    r_m2k_per_w : float
        Resistance of the strip [m2K/W].
    depth_m : float
        How far it reaches down, or in when it lies flat [m].
    vertical : bool
        Whether it stands; a standing strip counts as a flat one of twice its depth.
    thickness_m : float
        Its own thickness, which takes the place of as much soil [m].
    """

    r_m2k_per_w: float = 0.0
    depth_m: float = 0.0
    vertical: bool = True
    thickness_m: float = 0.05

    @property
    def reach_m(self) -> float:
        """Depth of the flat strip that it counts as. [m]"""
        return 2.0 * self.depth_m if self.vertical else self.depth_m


NO_EDGE = EdgeInsulation()


def equivalent_thickness(floor_r: Numbers, soil: Soil, wall_m: Numbers = 0.3) -> Array:
    """Thickness of soil that insulates like the floor itself, d_t. [m]

    Parameters
    ----------
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    soil : Soil
        The ground.
    wall_m : float or Array
        Thickness of the outer walls [m].

    Returns
    -------
    Array
        Thickness [m].

    Notes
    -----
    d_t = w + lambda (0.17 + R_f + 0.04).

    Source: ISO 13370:2017 section 7.1 (from memory).

    Examples
    --------
    >>> round(float(equivalent_thickness(0.0, Soil(1.5, 3e6), 0.15)), 3)
    0.465
    """
    return wall_m + soil.conductivity_w_per_mk * (R_INSIDE["down"] + np.asarray(floor_r) + R_OUTSIDE)


def floor_transmittance(
    area_m2: Numbers, perimeter_m: Numbers, floor_r: Numbers, soil: Soil, wall_m: Numbers = 0.3
) -> Array:
    """Steady U-value of a slab on ground, without edge insulation. [W/m2K]

    Parameters
    ----------
    area_m2 : float or Array
        Floor area [m2].
    perimeter_m : float or Array
        Perimeter exposed to outdoors [m].
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    soil : Soil
        The ground.
    wall_m : float or Array
        Thickness of the outer walls [m].

    Returns
    -------
    Array
        U-value, room air to outdoors [W/m2K].

    Notes
    -----
    With B = 2 A/P and d_t of `equivalent_thickness`: U = 2 lambda/(pi B + d_t) ln(pi B/d_t + 1) when d_t < B, else
    U = lambda/(0.457 B + d_t).

    Source: ISO 13370:2017 section 7.2 (from memory).

    Examples
    --------
    UK Approved Document L 2002 app. C, clay, P/A 0.5: U 0.70 W/m2K (from memory).

    >>> round(float(floor_transmittance(100.0, 50.0, 0.0, Soil(1.5, 3e6))), 2)
    0.7
    """
    b = np.asarray(area_m2) / (0.5 * np.asarray(perimeter_m))
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    k = soil.conductivity_w_per_mk
    poorly_insulated = 2.0 * k / (math.pi * b + d_t) * np.log(math.pi * b / d_t + 1.0)
    well_insulated = k / (0.457 * b + d_t)
    return np.where(d_t < b, poorly_insulated, well_insulated)


def edge_correction(floor_r: Numbers, edge: EdgeInsulation, soil: Soil, wall_m: Numbers = 0.3) -> Array:
    """Change of the loss for each metre of perimeter by edge insulation, negative. [W/mK]

    Parameters
    ----------
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    edge : EdgeInsulation
        The strip.
    soil : Soil
        The ground.
    wall_m : float or Array
        Thickness of the outer walls [m].

    Returns
    -------
    Array
        Psi-value [W/mK].

    Notes
    -----
    psi = -lambda/pi (ln(D/d_t + 1) - ln(D/(d_t + d') + 1)), d' = R_n lambda - d_n, at least 0: a strip that conducts
    better than the soil in its place is none; D twice the depth of a standing strip.

    Source: ISO 13370:2017 annex B (from memory).

    Examples
    --------
    ISO 13370 annex B, R 1.76, 0.6 m deep, on clay (computed by hand): -0.451 W/mK.

    >>> round(float(edge_correction(0.0, EdgeInsulation(1.76, 0.6), Soil(1.5, 3e6), 0.15)), 3)
    -0.451
    """
    k = soil.conductivity_w_per_mk
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    extra = max(edge.r_m2k_per_w * k - edge.thickness_m, 0.0)
    return -(k / math.pi) * (np.log(edge.reach_m / d_t + 1.0) - np.log(edge.reach_m / (d_t + extra) + 1.0))


def penetration_depth(soil: Soil) -> float:
    """Depth at which the yearly wave has fallen to 1/e, delta. [m]

    Parameters
    ----------
    soil : Soil
        The ground.

    Returns
    -------
    float
        Depth [m].

    Notes
    -----
    delta = (3.15e7 lambda/(pi rho c))^(1/2).

    Source: ISO 13370:2017 annex H (from memory).

    Examples
    --------
    ISO 13370: 3.2 m in sand or gravel, 2.2 m in clay.

    >>> round(penetration_depth(Soil(2.0, 2e6)), 1), round(penetration_depth(Soil(1.5, 3e6)), 1)
    (3.2, 2.2)
    """
    return math.sqrt(SECONDS_PER_YEAR * soil.conductivity_w_per_mk / (math.pi * soil.capacity_j_per_m3k))


def outdoor_swing_conductance(
    perimeter_m: Numbers, floor_r: Numbers, soil: Soil, edge: EdgeInsulation = NO_EDGE, wall_m: Numbers = 0.3
) -> Array:
    """Loss amplitude for each kelvin of the yearly outdoor amplitude, H_pe. [W/K]

    Parameters
    ----------
    perimeter_m : float or Array
        Perimeter exposed to outdoors [m].
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    soil : Soil
        The ground.
    edge : EdgeInsulation
        The strip along the edge, which takes its share of the wave.
    wall_m : float or Array
        Thickness of the outer walls [m].

    Returns
    -------
    Array
        Periodic conductance [W/K].

    Notes
    -----
    H_pe = 0.37 P lambda ((1 - e) ln(delta/(d_t + R lambda) + 1) + e ln(delta/d_t + 1)), e = exp(-D/delta), D twice
    the depth of a standing strip.

    Source: ISO 13370:2017 annex H (from memory).

    Examples
    --------
    A garage of 6 x 6 m on sand (computed by hand from annex H): 33.4 W/K.

    >>> round(float(outdoor_swing_conductance(24.0, 0.0, Soil(2.0, 2e6), wall_m=0.15)), 1)
    33.4
    """
    k = soil.conductivity_w_per_mk
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    delta = penetration_depth(soil)
    open_edge = np.log(delta / d_t + 1.0)
    behind = np.log(delta / (d_t + edge.r_m2k_per_w * k) + 1.0)
    through = math.exp(-edge.reach_m / delta)
    return 0.37 * np.asarray(perimeter_m) * k * ((1.0 - through) * behind + through * open_edge)


def swing_lag_months(floor_r: Numbers, soil: Soil, wall_m: Numbers = 0.3) -> Array:
    """Time by which the ground loss trails the outdoor swing, beta. [months]

    Parameters
    ----------
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    soil : Soil
        The ground.
    wall_m : float or Array
        Thickness of the outer walls [m].

    Returns
    -------
    Array
        Lag [months].

    Notes
    -----
    beta = 1.5 - 0.42 ln(delta/(d_t + 1)).

    Source: ISO 13370:2017 annex H (from memory).

    Examples
    --------
    A bare slab on sand behind a wall of 0.15 m (computed by hand): 1.21 months.

    >>> round(float(swing_lag_months(0.0, Soil(2.0, 2e6), 0.15)), 2)
    1.21
    """
    d_t = equivalent_thickness(floor_r, soil, wall_m)
    return 1.5 - 0.42 * np.log(penetration_depth(soil) / (d_t + 1.0))


def soil_resistance(floor_r: Numbers, soil: Soil) -> Array:
    """Resistance from the slab node to the middle of the soil layer. [m2K/W]

    Parameters
    ----------
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    soil : Soil
        The ground.

    Returns
    -------
    Array
        Resistance [m2K/W].

    Notes
    -----
    max(R_f - 0.05, 0) + 0.25 m/lambda: insulation lies under the slab, half the soil layer follows.

    Source: ISO 52016-1:2017 section 6.5.8.2 for the layer of 0.5 m (from memory).

    Examples
    --------
    >>> round(float(soil_resistance(1.05, Soil(2.0, 2e6))), 3)
    1.125
    """
    return np.maximum(np.subtract(floor_r, SLAB_FINISH_R), 0.0) + 0.5 * SOIL_LAYER_M / soil.conductivity_w_per_mk


def virtual_ground_resistance(area_m2: Numbers, steady_w_per_k: Numbers, floor_r: Numbers, soil: Soil) -> Array:
    """Resistance from the middle of the soil layer to the virtual ground temperature. [m2K/W]

    Parameters
    ----------
    area_m2 : float or Array
        Floor area [m2].
    steady_w_per_k : float or Array
        Steady loss of the floor, edge insulation included [W/K].
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].
    soil : Soil
        The ground.

    Returns
    -------
    Array
        Resistance, at least half the soil layer's [m2K/W].

    Notes
    -----
    R = max(A/H - R_slab - R_soil, 0.25 m/lambda): what leaves the steady loss at H.

    Source: ISO 52016-1:2017 section 6.5.8.2 (from memory).

    Examples
    --------
    The whole resistance is A/H again.

    >>> clay = Soil(1.5, 3e6)
    >>> rest = virtual_ground_resistance(36.0, 33.4, 0.0, clay)
    >>> round(float(rest + slab_resistance(0.0) + soil_resistance(0.0, clay)), 3) == round(36.0 / 33.4, 3)
    True
    """
    rest = np.asarray(area_m2) / steady_w_per_k - slab_resistance(floor_r) - soil_resistance(floor_r, soil)
    return np.maximum(rest, 0.5 * SOIL_LAYER_M / soil.conductivity_w_per_mk)


def yearly_wave(
    ground_w_per_k: Numbers, swing_share: Numbers, lag_months: Numbers, amplitude_k: Numbers
) -> tuple[Array, Array]:
    """Heat into the soil by the yearly wave: its cosine and its sine part. [W]

    Parameters
    ----------
    ground_w_per_k : float or Array
        Conductance from the soil layer to the virtual ground [W/K].
    swing_share : float or Array
        H_pe over the steady loss H [-].
    lag_months : float or Array
        Lag of the ground behind the outdoor air [months].
    amplitude_k : float or Array
        Yearly amplitude of the outdoor air [K].

    Returns
    -------
    cosine, sine : Array
        Parts of Phi = cosine cos(2 pi m/12) + sine sin(2 pi m/12) [W], m months after the coldest time outdoors.

    Notes
    -----
    Phi = -H_ground (H_pe/H) A cos(2 pi (m - beta)/12).

    Source: ISO 13370:2017 annex H (from memory), carried over to a virtual ground temperature.

    Examples
    --------
    A ground that trails by three months takes nothing at the coldest time and most a quarter later.

    >>> cosine, sine = yearly_wave(10.0, 0.5, 3.0, 12.0)
    >>> abs(round(float(cosine), 9)), round(float(sine), 9)
    (0.0, -60.0)
    """
    phase = 2.0 * math.pi * np.asarray(lag_months) / 12.0
    amplitude = -np.asarray(ground_w_per_k) * swing_share * amplitude_k
    return amplitude * np.cos(phase), amplitude * np.sin(phase)
