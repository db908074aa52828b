"""Figures of other sources of heat, read once and checked as those of `thermal.data`."""

from __future__ import annotations

from functools import cache

from thermal.core.distributions import TriangularRange
from thermal.data import _source, _triangular, raw_table


@cache
def compost_heat() -> TriangularRange:
    """Heat recovered from each cubic metre of a compost heap: low, likely, high. [W/m3]"""
    row = raw_table("other_heat")["compost"]
    assert _source("other_heat", "compost", row)
    return _triangular("other_heat", "compost", row["w_per_m3"], 0.0, 1000.0)
