"""Sentences on other sources of heat that a plan tries."""

from __future__ import annotations

import math

from thermal import data
from thermal.analysis.comparison_results import Comparison
from thermal.analysis.heat_brought import HeatBrought, StoveHeat
from thermal.analysis.other_heat import COLLECTOR, COMPOST
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.data.other_heat import collector_coefficients
from thermal.plan.model import Plan
from thermal.report.table_data import energy, hours, price_text, provenance

HOT_ROOM_C = 40.0  # of a room's air; our judgement
HARDLY_K = 1.0  # warmer than without it, as a thermometer shows it


def other_heat_sentences(plan: Plan, comparison: Comparison) -> list[str]:
    """What each other source of heat brings, and whether it is enough alone.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    comparison : Comparison
        Result of `compare`.
    """
    sentences = []
    if plan.other_heat.collector and all(way.name != COLLECTOR for way in comparison.alternatives):
        sentences = [
            "Sun collector: not calculated, because no sun counts: the weather file has neither sun nor cloud cover, or"
            " no position, or is moved to another town, or [climate] sun is false."
        ]
    heats = [(way.name, way.heat) for way in comparison.alternatives if way.heat is not None]
    return [
        f"{name.capitalize()}: {_brings(heat, comparison)}{_paid(plan, heat, comparison)}"
        f" {_alone(plan, heat)}{_after_the_fire(plan, heat.stove)}{_too_warm(plan, heat)}{_source(plan, name, heat)}"
        for name, heat in heats
    ] + sentences


def _brings(heat: HeatBrought, comparison: Comparison) -> str:
    """What it gives, and what that replaces."""
    given = _compost(heat) if heat.watts else _stove(heat.stove) if heat.stove else "it gives"
    season = comparison.season
    if not season.complete:
        return "" if given == "it gives" else f"{given.rstrip(',')}."
    text = given if heat.stove else f"{given} {energy(heat.brought_kwh)} kWh {season.span}"
    if heat.share is None:
        return f"{text}; the plan needs no heating."
    between = ""
    if heat.share_low is not None and heat.share_high is not None:
        between = f" ({percent(heat.share_low)} to {percent(heat.share_high)})"
    return f"{text}{' it' if heat.stove else ', and'} replaces {percent(heat.share)}{between} of the heating."


def _stove(stove: StoveHeat) -> str:
    """The power of a stove."""
    return f"with {_kilowatts(stove.watts)} for {stove.hours:g} h of every day"


def _kilowatts(power_w: float) -> str:
    """A power [W] in kW, rounded up to a tenth."""
    return f"{math.ceil(power_w / 100.0 - 1e-6) / 10.0:,.1f} kW"


def _compost(heat: HeatBrought) -> str:
    """The heat of a heap with its range."""
    low, likely, high = heat.watts
    between = "" if low == high else f" ({low:,.0f} to {high:,.0f} W)"
    return f"it gives {likely:,.0f} W{between} at all hours,"


def _paid(plan: Plan, heat: HeatBrought, comparison: Comparison) -> str:
    """What its heat costs: that of the house's heating, or of fuel; empty where it costs nothing."""
    if not heat.paid_kwh or heat.heat_price is None or not comparison.season.complete:
        return ""
    currency, span = plan.power.currency, comparison.season.span
    money = f"{price_text(heat.paid_cost, currency)} at {heat.heat_price:g} {currency} a kWh"
    kwh = f"{energy(heat.paid_kwh)} kWh {span}: {money}, which the cost of this way includes."
    if heat.stove:
        return f" On the {heat.stove.days} days on which the heater would run, its fuel gives {kwh}"
    return f" The house takes in as much outdoor air, and its heating has to make up {kwh}"


def _after_the_fire(plan: Plan, stove: StoveHeat | None) -> str:
    """How long the water lasts once a stove is out, and how warm the room gets; empty for others."""
    if stove is None:
        return ""
    air = UNIT_SYSTEMS[plan.units].text("temperature", stove.warmest_air_c)
    least = "" if stove.least_w is None else f" The smallest that overwinters alone has {_kilowatts(stove.least_w)}."
    if stove.watts == stove.least_w:
        least = " It is the smallest that does."
    hot = ""
    if stove.warmest_air_c > HOT_ROOM_C:
        hot = ", which neither plants nor people stand: burn longer with less power, or insulate first"
    return (
        f"{least} If it is not lit again and no heater runs, the water is at its minimum"
        f" {_after(stove.lasts_typical_h)} it goes out on a typical one of these days, and"
        f" {_after(stove.lasts_h)} on the worst day."
        f" The room's air reaches {air} on a typical one{hot}."
    )


def _after(lasts_h: float | None) -> str:
    """How long after the stove goes out."""
    if lasts_h == 0.0:
        return "before"
    return "more than a week after" if lasts_h is None else f"{hours(lasts_h)} h after"


def _alone(plan: Plan, heat: HeatBrought) -> str:
    """Whether the water stays warm enough with it alone."""
    units, floor_c = UNIT_SYSTEMS[plan.units], plan.keep.floor_c
    if heat.alone:
        return f"Alone, without a heater, it keeps the water at or above {units.text('temperature', floor_c)}."
    coldest = units.below(heat.coldest_alone_c, floor_c)
    return f"Alone it is not enough: without a heater the water falls to {coldest}."


def _too_warm(plan: Plan, heat: HeatBrought) -> str:
    """That it makes the water too warm in mild weather; empty where it does not, or hardly."""
    if heat.warmest_alone_c <= max(plan.keep.upper_c, heat.warmest_without_c + HARDLY_K):
        return ""
    warmest, upper = (
        UNIT_SYSTEMS[plan.units].text("temperature", value) for value in (heat.warmest_alone_c, plan.keep.upper_c)
    )
    return f" In mild weather the water then reaches {warmest}, above the limit of {upper}: leave it off then."


def _source(plan: Plan, name: str, heat: HeatBrought) -> str:
    """Where the range of a heap, or what is assumed of a collector, comes from; empty for others."""
    if name == COMPOST and heat.watts[0] < heat.watts[2]:
        return f" Heat of a heap: {provenance(data.citation('compost_review'))}."
    collector = plan.other_heat.collector
    if name != COLLECTOR or collector is None:
        return ""
    text = (
        " Its heat follows the collector equation of EN ISO 9806 (not checked against the source); the tank is its only"
    )
    text += " store, and the electricity of its pump is not counted."
    if collector.coefficients == collector_coefficients():
        text += f" Its coefficients: {provenance(data.citation('collector_memory'))}."
    return text


def percent(share: float) -> str:
    """A share as whole per cent, rounded down: 100 % is all of it."""
    return f"{math.floor(100.0 * share + 1e-6)} %"
