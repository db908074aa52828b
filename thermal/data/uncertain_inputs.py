"""Uncertain inputs of every plan that no preset holds, from `uncertain_inputs.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from thermal import data
from thermal.core.distributions import TriangularRange, lognormal


@dataclass(frozen=True)
class UncertainInput:
    """An uncertain input.

    Attributes
    ----------
    name : str
        Its name.
    spread : tuple of float
        Low, likely and high value, in its unit; a `LognormalRange` where it is a factor.
    unit : str
        The unit, or its quantity.
    says : str
        What it is.
    source : str
        Where its range comes from.
    key : str
        Key of the plan file that states it; empty where none does.
    """

    name: str
    spread: TriangularRange
    unit: str
    says: str
    source: str
    key: str


@cache
def uncertain_inputs() -> dict[str, UncertainInput]:
    """Every uncertain input, by name.

    Raises
    ------
    ValueError
        When a row of the table is not a range, or names no source.
    """
    rows = {}
    for name, row in data.raw_table("uncertain_inputs").items():
        low, likely, high = row.get("range", (1.0, 1.0, 1.0))
        if not min(low, high) <= likely <= max(low, high):
            raise ValueError(f"data/uncertain_inputs.toml, row {name!r}: {row['range']} is not low, likely, high")
        spread = lognormal(row["ln_sd"]) if "ln_sd" in row else (float(low), float(likely), float(high))
        rows[name] = UncertainInput(
            name, spread, row["unit"], row["says"], data.citation(row["source"]), row.get("key", "")
        )
    return rows
