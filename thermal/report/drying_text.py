"""Sentences on a dehumidifier and a fan by humidity: those of a plan, and those that `compare` tries."""

from __future__ import annotations

from thermal.analysis.comparison_results import Comparison
from thermal.analysis.damp_ways import DRYING_HUMIDITIES
from thermal.analysis.drying import DryingEffect
from thermal.analysis.drying_results import Drying
from thermal.core.display_units import UNIT_SYSTEMS, percent_text
from thermal.data.dehumidifiers import dehumidifier_kinds
from thermal.plan.model import Plan
from thermal.report.table_data import energy, price_text


def drying_sentence(effect: DryingEffect, plan: Plan) -> str:
    """What the devices of a plan do, and what they change.

    Parameters
    ----------
    effect : DryingEffect
        What they change.
    plan : Plan
        The plan, for its devices and its currency.
    """
    damp = (
        f" Hours of mould risk are {effect.mould_hours:,} in place of {effect.mould_without_hours:,}, hours of"
        f" condensation {effect.condensation_hours:,} in place of {effect.condensation_without_hours:,}."
    )
    if effect.heater_w is None or effect.heating_kwh is None or effect.cost is None:
        return f"{_what_they_do(effect.drying, plan)} Without it no heater is enough.{damp}"
    both = plan.dehumidifier and plan.fan
    who, money = "Both change" if both else "It changes", price_text(abs(effect.cost), plan.power.currency)
    than = "more" if effect.cost >= 0.0 else "less"
    return (
        f"{_what_they_do(effect.drying, plan)} {who} the heater needed by {effect.heater_w:+,.0f} W and the heating of"
        f" a typical winter by {effect.heating_kwh:+,.0f} kWh, at the likely inputs. Heating and this electricity"
        f" together cost {money} {than} than without.{damp}"
    )


def _what_they_do(drying: Drying, plan: Plan) -> str:
    """Water, hours and electricity of the devices that a plan has."""
    parts = []
    if plan.dehumidifier:
        parts.append(_dehumidifier(drying, plan))
    if plan.fan:
        parts.append(f"The fan by humidity runs for {drying.fan_hours:,.0f} h of it.")
    cost = price_text(drying.cost, plan.power.currency)
    return (
        f"{' '.join(parts)} Electricity: {energy(drying.kwh)} kWh ({cost}), which kWh and cost of packages, minimum"
        " temperatures and other ways include."
    )


def _dehumidifier(drying: Drying, plan: Plan) -> str:
    """Water and hours of a dehumidifier."""
    water, most = _water(drying, plan)
    return (
        f"The dehumidifier takes {water} of water from the air in a typical winter, at most {most} a day, and runs for"
        f" {drying.dehumidifier_hours:,.0f} h."
    )


def _water(drying: Drying, plan: Plan) -> tuple[str, str]:
    """Water that a dehumidifier takes in a winter and at most in a day, in the units of the plan."""
    units = UNIT_SYSTEMS[plan.units]
    return units.text("volume", drying.litres / 1000.0, 0), units.text("volume", drying.most_l_per_day / 1000.0)


def _cold_machines(plan: Plan) -> str:
    """Which kinds of dehumidifier work in the cold."""
    kind, units = dehumidifier_kinds()["compressor"], UNIT_SYSTEMS[plan.units]
    full, stops = (units.text("temperature", celsius, 0) for celsius in (kind.full_c, kind.stops_c))
    return (
        f"A dehumidifier with a compressor takes little water from air below {full}, and stops at {stops}; one with a"
        " desiccant works in the cold, but uses more electricity."
    )


def damp_way_sentences(plan: Plan, comparison: Comparison) -> list[str]:
    """What a dehumidifier and a fan by humidity that `compare` tries would do.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    if not comparison.season.complete:
        return []
    before = comparison.package_comparison.packages[0].result
    sentences = []
    for way in comparison.alternatives:
        if way.drying is None:
            continue
        drying, cost = way.drying, price_text(way.drying.cost, plan.power.currency)
        water, most = _water(drying, plan)
        does = (
            f"takes {water} of water, at most {most} a day, and runs for {drying.dehumidifier_hours:,.0f} h"
            if drying.litres
            else f"runs for {drying.fan_hours:,.0f} h"
        )
        sentences.append(
            f"{way.name.capitalize()} ({way.meaning}): {comparison.season.span} it {does}. It uses"
            f" {energy(drying.kwh)} kWh ({cost}), which kWh and cost of this way include. Hours of mould risk are"
            f" {way.mould_h:,.0f} in place of {before.mould_h:,.0f}, hours of condensation {way.condensation_h:,.0f} in"
            f" place of {before.condensation_h:,.0f}."
        )
    if sentences:
        tried = " and ".join(percent_text(humidity) for humidity in DRYING_HUMIDITIES)
        sentences.append(
            f"Dehumidifiers of usual sizes are tried at {tried} relative humidity, and fans of two sizes. Shown is the"
            " cheapest to run that leaves at most a tenth of the hours of mould risk, or else the one that leaves"
            f" fewest. {_cold_machines(plan)}"
        )
    return sentences
