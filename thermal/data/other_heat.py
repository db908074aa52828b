"""Figures of other sources of heat, read once and checked as those of `thermal.data`."""

from __future__ import annotations

from functools import cache

from thermal.core.distributions import TriangularRange
from thermal.data import _require, _source, _triangular, raw_table


@cache
def compost_heat() -> TriangularRange:
    """Heat recovered from each cubic metre of a compost heap: low, likely, high. [W/m3]"""
    row = raw_table("other_heat")["compost"]
    assert _source("other_heat", "compost", row)
    return _triangular("other_heat", "compost", row["w_per_m3"], 0.0, 1000.0)


@cache
def collector_coefficients() -> tuple[float, float, float]:
    """Coefficients eta0 [-], a1 [W/m2K] and a2 [W/m2K2] of a usual flat collector."""
    row = raw_table("other_heat")["collector"]
    assert _source("other_heat", "collector", row)
    eta0, a1, a2 = (float(row[key]) for key in ("eta0", "a1_w_per_m2k", "a2_w_per_m2k2"))
    _require(0.1 <= eta0 <= 1.0 and 0.0 < a1 <= 20.0 and 0.0 <= a2 <= 0.1, "other_heat", "collector", "not plausible")
    return eta0, a1, a2


@cache
def stove_radiant_share() -> float:
    """Share of a stove's heat that goes to walls and roof in place of the air. [-]"""
    row = raw_table("other_heat")["stove"]
    assert _source("other_heat", "stove", row)
    _require(0.0 <= row["radiant_share"] <= 1.0, "other_heat", "stove", "a share is between 0 and 1")
    return float(row["radiant_share"])


@cache
def house_air_vapour() -> tuple[float, float]:
    """Vapour in a house's air beyond that of outdoor air [kg/m3], and its humidity ratio [-]."""
    row = raw_table("other_heat")["house_air"]
    assert _source("other_heat", "house_air", row)
    excess, ratio = float(row["vapour_kg_m3"]), float(row["humidity_ratio"])
    _require(0.0 <= excess <= 0.02 and 0.0 < ratio <= 0.02, "other_heat", "house_air", "not plausible")
    return excess, ratio
