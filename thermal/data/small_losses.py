"""The tables of losses that are small each, read once and checked as those of `thermal.data`."""

from __future__ import annotations

from functools import cache

from thermal.core.distributions import TriangularRange
from thermal.data import _source, _triangular, raw_table


@cache
def bridges() -> dict[str, TriangularRange]:
    """Addition for thermal bridges to the U-value of outer sides by how many there are: low, likely, high. [W/m2K]"""
    return {
        name: _triangular("bridges", name, row["w_per_m2k"], 0.0, 0.5)
        for name, row in raw_table("bridges").items()
        if _source("bridges", name, row)
    }


@cache
def transpiration() -> dict[str, TriangularRange]:
    """Water that plants give to the air, "with lights" and "without lights": low, likely, high. [kg/m2 day]"""
    return {
        name: _triangular("transpiration", name, row["kg_per_m2_day"], 0.0, 10.0)
        for name, row in raw_table("transpiration").items()
        if _source("transpiration", name, row)
    }
