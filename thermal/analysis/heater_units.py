"""Heaters as they are sold: how many of which size to buy, what is installed."""

from __future__ import annotations

import math

from thermal import data
from thermal.plan.model import Plan


def heaters_to_buy(watts: float) -> tuple[float, ...]:
    """The fewest equal heaters, at least two, of a size sold that reach a wattage; none for nothing.

    Two at least, so that one failed leaves half, and one stuck on cooks with half.
    """
    if watts <= 0:
        return ()
    sizes = data.heater_sizes()
    count = max(2, math.ceil(watts / sizes[-1]))
    return (next(size for size in sizes if count * size >= watts),) * count


def installed_heaters(plan: Plan, needed_w: float) -> tuple[float, ...]:
    """What stands in the water: what is owned, else what to buy."""
    return plan.heater.units_w or heaters_to_buy(needed_w * (1.0 + plan.heater.reserve))
