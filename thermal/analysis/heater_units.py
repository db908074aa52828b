"""Heaters in the sizes that are sold: how many of which size to buy, and which are installed."""

from __future__ import annotations

import math

from thermal import data
from thermal.plan.model import Plan


def heaters_to_buy(watts: float) -> tuple[float, ...]:
    """Power of each heater to buy. [W]

    They are the fewest equal heaters of a size sold, two at least: if one fails, half of the power is left, and if one
    sticks on, it gives only half.

    Parameters
    ----------
    watts : float
        Power needed [W].

    Returns
    -------
    tuple of float
        Empty where no power is needed.
    """
    if watts <= 0:
        return ()
    sizes = data.heater_sizes()
    count = max(2, math.ceil(watts / sizes[-1]))
    return (next(size for size in sizes if count * size >= watts),) * count


def installed_heaters(plan: Plan, needed_w: float) -> tuple[float, ...]:
    """Power of each installed heater: those owned, or else those to buy. [W]

    Parameters
    ----------
    plan : Plan
        The plan, with the heaters owned and the reserve.
    needed_w : float
        Power needed, without the reserve [W].
    """
    return plan.heater.units_w or heaters_to_buy(needed_w * (1.0 + plan.heater.reserve))
