"""Heaters in the sizes that are sold: how many of which size to buy, and which are installed."""

from __future__ import annotations

import math

from thermal import data
from thermal.analysis.circuit import ROUNDING_W, CircuitSupply, further_circuits, supply_of
from thermal.plan.model import Plan

LEAST_HEATERS = 2
APPROXIMATE_MARGIN = 1.35  # exp(1.28 x 0.23): the 90th percentile over the median of a figure that scatters by 0.23
MOST_ON_CIRCUIT = 3  # heaters to buy for one circuit; common practice, no source


def watts_to_buy(plan: Plan, needed_w: float, samples_w: float | None = None) -> float:
    """Power that the heaters to buy have together at least. [W]

    Parameters
    ----------
    plan : Plan
        The plan; a reserve that it states is kept in any case.
    needed_w : float
        Power needed at the likely values [W].
    samples_w : float, optional
        Power that is enough in 9 of 10 samples of the uncertain inputs [W]; without samples 1.35 times the power
        needed stands for it, about what the samples of most plans give.
    """
    enough = APPROXIMATE_MARGIN * needed_w if samples_w is None else samples_w
    return max(enough, needed_w * (1.0 + (plan.heater.reserve or 0.0)))


def heaters_to_buy(watts: float, supply: CircuitSupply) -> tuple[float, ...]:
    """Power of each heater to buy. [W]

    They are equal heaters of a size sold, two at least: if one fails, half of the power is left, and if one sticks on,
    it gives only half. No heater is larger than the continuous limit of a circuit. Of all sizes, that is chosen which
    needs the fewest further circuits, then the fewest heaters, then the least power.

    Parameters
    ----------
    watts : float
        Power to buy, with the reserve [W].
    supply : CircuitSupply
        The circuits of the plan.

    Returns
    -------
    tuple of float
        Empty where no power is needed.
    """
    if watts <= 0:
        return ()
    choices = []
    for size in data.heater_sizes():
        count = max(LEAST_HEATERS, math.ceil((watts - ROUNDING_W) / size))
        further = further_circuits(count, size, supply, MOST_ON_CIRCUIT)
        if further is not None:
            choices.append((further, count, size))
    _, count, size = min(choices)
    return (size,) * count


def largest_set(supply: CircuitSupply) -> tuple[float, ...]:
    """The most heating power of equal heaters that the circuits carry without a further one. [W] Empty for none."""
    sets = [
        (size,) * count
        for size in data.heater_sizes()
        for count in range(LEAST_HEATERS, MOST_ON_CIRCUIT * len(supply.circuits) + 1)
        if further_circuits(count, size, supply, MOST_ON_CIRCUIT) == 0
    ]
    return max(sets, key=lambda heaters: (sum(heaters), -len(heaters)), default=())


def installed_heaters(plan: Plan, watts: float) -> tuple[float, ...]:
    """Power of each installed heater: those owned, or else those to buy. [W]

    Parameters
    ----------
    plan : Plan
        The plan, with the heaters owned and the circuits.
    watts : float
        Power to buy, with the reserve [W].
    """
    return plan.heater.units_w or heaters_to_buy(watts, supply_of(plan))


def guarded_c(plan: Plan, stuck_c: float, warmest_c: float) -> float:
    """Warmest water with a heater stuck on, held by the cut-out of the plan if it has one. [degC]

    Parameters
    ----------
    plan : Plan
        The plan.
    stuck_c : float
        Warmest water without a cut-out [degC].
    warmest_c : float
        Warmest water with heaters that work, which summer warmth may bring above the cut-out [degC].
    """
    cut_out_c = plan.heater.cut_out_c
    return stuck_c if cut_out_c is None else min(stuck_c, max(cut_out_c, warmest_c))
