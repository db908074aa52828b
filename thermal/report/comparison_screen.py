"""What the page of `compare` shows first: what to start with, and what all useful measures together do."""

from __future__ import annotations

from thermal.analysis.comparison_results import Comparison
from thermal.analysis.minimum_temperature_sweep import next_kelvin
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.table_data import energy, price_text, watts


def comparison_figures(plan: Plan, comparison: Comparison) -> list[tuple[str, str, str]]:
    """Name, value and note of the main figures of a comparison, the first measure first.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    return [*_measures(plan, comparison), *_warmer(plan, comparison)]


def _measures(plan: Plan, comparison: Comparison) -> list[tuple[str, str, str]]:
    """The first measure, and all useful ones together: price, cost, energy and heater; empty where none saves heat."""
    study, season, currency = comparison.package_comparison, comparison.season, plan.power.currency
    bare = study.packages[0].result
    if not study.ranking:
        return [
            ("heater needed", _power(bare.needed_w), "as the plan is"),
            (f"heating, {season.short}", f"{energy(bare.kwh)} kWh", "as the plan is"),
            (f"cost, {season.short}", price_text(bare.cost, currency), "as the plan is"),
        ]
    first, last = study.ranking[0], study.ranking[-1].package
    price = "costs nothing" if first.cost == 0 else price_text(first.cost, currency)
    count = "1 measure" if len(study.ranking) == 1 else f"{len(study.ranking)} measures"
    after = f"with {'it' if len(study.ranking) == 1 else 'all of them'}; now "
    return [
        ("start with", first.measure, f"{price}; saves {price_text(first.saves, currency)} {season.span}"),
        ("all that save", price_text(last.cost, currency), count),
        (
            f"cost, {season.short}",
            price_text(last.result.cost, currency),
            f"{after}{price_text(bare.cost, currency)}",
        ),
        (f"heating, {season.short}", f"{energy(last.result.kwh)} kWh", f"{after}{energy(bare.kwh)} kWh"),
        ("heater needed", _power(last.result.needed_w), f"{after}{_power(bare.needed_w)}"),
    ]


def _warmer(plan: Plan, comparison: Comparison) -> list[tuple[str, str, str]]:
    """What water one degree warmer costs; empty where no heater is enough for it."""
    cost, units = next_kelvin(comparison.floors, plan.keep.floor_c), UNIT_SYSTEMS[plan.units]
    if cost is None:
        return []
    degrees = units.difference(1.0, 0 if units.unit("temperature") == "°C" else 1)
    return [(f"water {degrees} warmer", f"+{price_text(cost, plan.power.currency)}", comparison.season.span)]


def _power(power_w: float | None) -> str:
    """A power [W] with its unit, or that no heater is enough."""
    return watts(power_w) if power_w is None else f"{watts(power_w)} W"
