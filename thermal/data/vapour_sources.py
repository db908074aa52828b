"""What gives water vapour to a room's air: known sources, and amounts as written in a plan."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from thermal.data import _require, _source, raw_table

EVAPORATION_J_PER_KG = 2.5e6  # near 0 degC, for an amount that a plan writes
MOST_KG_PER_DAY = 1000.0
EXAMPLE = '"5 kg/day" or "0.1 kg/h"'
_AMOUNT = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*(?:kg|l)\s*(?:/|per|a|an)\s*(day|d|h|hour)\s*", re.IGNORECASE)


@dataclass(frozen=True)
class VapourSource:
    """Something that gives vapour to the air.

    Attributes
    ----------
    kg_per_day, kg_per_h, kg_per_kwh : float
        Vapour in a day, spread over its hours; in each hour that it is there; and for each kWh of its heat [kg].
    heat_j_per_kg : float
        Heat that the room's air gives to make it [J/kg]; 0 where a flame or a body gives it.
    electric : bool
        Whether the power of the gain is electric.
    """

    kg_per_day: float = 0.0
    kg_per_h: float = 0.0
    kg_per_kwh: float = 0.0
    heat_j_per_kg: float = EVAPORATION_J_PER_KG
    electric: bool = True


@cache
def vapour_sources() -> dict[str, VapourSource]:
    """Each known source by its name."""
    rows = {}
    for name, row in raw_table("vapour").items():
        _source("vapour", name, row)
        _require(0.0 <= row["heat"] <= 3.0e6, "vapour", name, f"heat = {row['heat']} is outside 0-3e6 J/kg")
        by_fuel = row.get("kg_per_kg_fuel", 0.0) / row.get("net_kwh_per_kg", 1.0)
        amounts = (row.get("kg_per_day", 0.0), row.get("kg_per_h", 0.0), by_fuel)
        rows[name] = VapourSource(*amounts, row["heat"], row["electric"])
    return rows


def vapour_source(text: str) -> VapourSource:
    """The source that a plan writes: a known one, or an amount of evaporating water.

    Raises
    ------
    ValueError
        When the text is neither, or more than 1,000 kg a day.
    """
    if known := vapour_sources().get(text.strip().lower()):
        return known
    match = _AMOUNT.fullmatch(text)
    if match is None:
        words = ", ".join(repr(name) for name in vapour_sources())
        raise ValueError(f"{text[:60]!r} is no amount of vapour; write for example {EXAMPLE}, or one of {words}")
    by_hour = match[2].lower().startswith("h")
    if (amount := float(match[1])) * (24.0 if by_hour else 1.0) > MOST_KG_PER_DAY:
        raise ValueError(f"{text[:60]!r} is out of range; write at most {MOST_KG_PER_DAY:,.0f} kg/day")
    return VapourSource(kg_per_h=amount) if by_hour else VapourSource(kg_per_day=amount)


def vapour_rate(source: VapourSource, power_w: float, hours: float) -> float:
    """Vapour that a source gives off while it is there. [kg/s]

    Parameters
    ----------
    source : VapourSource
        The source.
    power_w : float
        Its heat [W].
    hours : float
        Hours of the day that it is there [h]; an amount of a day is spread over them.
    """
    daily = source.kg_per_day / hours if hours else 0.0
    return (daily + source.kg_per_h + source.kg_per_kwh * power_w / 1000.0) / 3600.0
