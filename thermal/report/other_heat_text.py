"""Sentences on other sources of heat that a plan tries."""

from __future__ import annotations

import math

from thermal import data
from thermal.analysis.comparison_results import Comparison
from thermal.analysis.heat_brought import HeatBrought
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.table_data import energy, price_text, provenance


def other_heat_sentences(plan: Plan, comparison: Comparison) -> list[str]:
    """What each other source of heat brings, and whether it is enough alone.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    comparison : Comparison
        Result of `compare`.
    """
    heats = [(way.name.capitalize(), way.heat) for way in comparison.alternatives if way.heat is not None]
    return [
        f"{name}: {_brings(heat, comparison)}{_paid(plan, heat, comparison)}"
        f" {_alone(plan, heat)}{_too_warm(plan, heat)}{_source(heat)}"
        for name, heat in heats
    ]


def _brings(heat: HeatBrought, comparison: Comparison) -> str:
    """What it gives, and what that replaces."""
    given = _compost(heat) if heat.watts else "it gives"
    if not comparison.season.complete:
        return f"{given.rstrip(',')}."
    text = f"{given} {energy(heat.brought_kwh)} kWh {comparison.season.span}"
    if heat.share is None:
        return f"{text}; the plan needs no heating."
    between = ""
    if heat.share_low is not None and heat.share_high is not None:
        between = f" ({percent(heat.share_low)} to {percent(heat.share_high)})"
    return f"{text}, and replaces {percent(heat.share)}{between} of the heating."


def _compost(heat: HeatBrought) -> str:
    """The heat of a heap with its range."""
    low, likely, high = heat.watts
    between = "" if low == high else f" ({low:,.0f} to {high:,.0f} W)"
    return f"it gives {likely:,.0f} W{between} at all hours,"


def _paid(plan: Plan, heat: HeatBrought, comparison: Comparison) -> str:
    """What the house's heating has to make up; empty where nothing has to."""
    if heat.paid_kwh is None or heat.heat_price is None or not comparison.season.complete:
        return ""
    currency = plan.power.currency
    money = f"{price_text(heat.paid_cost, currency)} at {heat.heat_price:g} {currency} a kWh"
    return (
        f" The house takes in as much outdoor air, and its heating has to make up {energy(heat.paid_kwh)} kWh"
        f" {comparison.season.span}: {money}, which the cost of this way includes."
    )


def _alone(plan: Plan, heat: HeatBrought) -> str:
    """Whether the water stays warm enough with it alone."""
    units, floor_c = UNIT_SYSTEMS[plan.units], plan.keep.floor_c
    if heat.alone:
        return f"Alone, without a heater, it keeps the water at or above {units.text('temperature', floor_c)}."
    coldest = units.below(heat.coldest_alone_c, floor_c)
    return f"Alone it is not enough: without a heater the water falls to {coldest}."


def _too_warm(plan: Plan, heat: HeatBrought) -> str:
    """That it makes the water too warm in mild weather; empty where it does not."""
    if heat.warmest_alone_c <= plan.keep.upper_c:
        return ""
    warmest, upper = (
        UNIT_SYSTEMS[plan.units].text("temperature", value) for value in (heat.warmest_alone_c, plan.keep.upper_c)
    )
    return f" In mild weather the water then reaches {warmest}, above the limit of {upper}: switch it off in time."


def _source(heat: HeatBrought) -> str:
    """Where the range of a heap comes from; empty for others."""
    if not heat.watts or heat.watts[0] == heat.watts[2]:
        return ""
    return f" Heat of a heap: {provenance(data.citation('compost_review'))}."


def percent(share: float) -> str:
    """A share as whole per cent, rounded down: 100 % is all of it."""
    return f"{math.floor(100.0 * share + 1e-6)} %"
