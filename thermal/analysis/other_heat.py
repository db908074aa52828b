"""Other sources of heat as other ways to heat: each with the heater still needed, and its share of a winter's heat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.design_results import design_results
from thermal.analysis.heat_brought import HeatBrought
from thermal.analysis.heater_sizing import ROUNDING_K
from thermal.plan.model import Plan
from thermal.plan.other_heat import Compost, TriedHeat, compost_source

COMPOST = "compost heap"


def other_heat_ways(case: SimulationCase) -> tuple[Alternative, ...]:
    """Every other source of heat that the plan tries, as another way to heat.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    tried, ways = case.plan.other_heat, []
    if tried.compost is not None:
        ways.append(_compost_way(case, tried.compost))
    return tuple(ways)


def _compost_way(case: SimulationCase, compost: Compost) -> Alternative:
    """A compost heap, at its likely heat and at both ends of its range."""
    low, likely, high = compost.watts
    watts = [likely] if low == high else [likely, low, high]
    plans = [tried_plan(case.plan, compost_source(compost, heat)) for heat in watts]
    base, result, *ends = design_results(case, [case.plan, *plans])
    shares = [replaced_share(base, end) for end in ends] or [None, None]
    coldest_c, warmest_c = unheated_range(case, plans[0])
    brought = HeatBrought(
        brought_kwh=likely * hours_of_typical(case, base) / 1000.0,
        share=replaced_share(base, result),
        share_low=shares[0],
        share_high=shares[1],
        alone=keeps_minimum(case, coldest_c),
        coldest_alone_c=coldest_c,
        warmest_alone_c=warmest_c,
        watts=compost.watts,
    )
    meaning = "a coil in the heap heats the water" if compost.to_node == "tank" else "a coil in the heap heats the room"
    return way_of(COMPOST, meaning, (base, result), compost.cost, brought)


def tried_plan(plan: Plan, tried: TriedHeat) -> Plan:
    """The plan with another source of heat in it."""
    return replace(plan, tried=tried)


def replaced_share(base: DesignResult, result: DesignResult) -> float | None:
    """Share of the base's heating in the typical winter that a design does without; None where there is none. [-]"""
    return 1.0 - result.kwh / base.kwh if base.kwh > 0.0 else None


def typical_winter(case: SimulationCase, base: DesignResult) -> int:
    """Index of the winter that energy and cost of the designs are those of."""
    months = [case.weather.months(winter) for winter in range(len(case.weather.winters))]
    return months.index([month for month, _, _ in base.months])


def hours_of_typical(case: SimulationCase, base: DesignResult) -> int:
    """Hours of that winter. [h]"""
    return case.weather.winters[typical_winter(case, base)].hours


def unheated_range(case: SimulationCase, plan: Plan) -> tuple[float, float]:
    """Coldest and warmest tank of a design without a heater, the rare cold spell of sizing included. [degC]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    plan : Plan
        A design of it.
    """
    own = replace(case, plan=plan, network=network_of(plan, case.weather))
    off = own.heaters(np.zeros(1))
    runs = [item.simulate(off) for item in (own, own.in_rare_cold) if item is not None]
    return min(float(run.coldest_c.min()) for run in runs), max(float(run.warmest_c.max()) for run in runs)


def keeps_minimum(case: SimulationCase, coldest_c: float) -> bool:
    """Whether water with such a coldest temperature stays at or above its minimum."""
    return coldest_c >= case.plan.keep.floor_c - ROUNDING_K


def way_of(
    name: str,
    meaning: str,
    base_and_result: tuple[DesignResult, DesignResult],
    price: float | None,
    brought: HeatBrought,
    running_cost: float = 0.0,
) -> Alternative:
    """Another source of heat as a row of the other ways.

    Parameters
    ----------
    name, meaning : str
        Its name, and a few words of explanation.
    base_and_result : (DesignResult, DesignResult)
        The plan as written, and with it.
    price : float or None
        What it costs to set up [currency]; None where not known.
    brought : HeatBrought
        What it brings.
    running_cost : float
        What its own heat costs in the typical winter [currency].
    """
    base, result = base_and_result
    cost = result.cost + running_cost
    saves = base.cost - cost
    payback = price / saves if price and saves > 0.0 else None
    return Alternative(
        name, meaning, result.needed_w, result.kwh, cost, saves, result.outage_h, result.mould_h, price, payback,
        heat=brought,
    )  # fmt: skip
