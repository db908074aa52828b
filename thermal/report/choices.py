"""What the page's live choices need: every package and every minimum as compact JSON, and the texts beside them.

The script `templates/choices.js` reads it. Nothing of a plan is ever code: its texts stand in the JSON, where no
character can end the element that holds it, and the script shows them as text.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

from thermal.analysis.comparison_results import Comparison, DesignResult, FloorStep, SeparableEffects
from thermal.analysis.measure_packages import pareto_front
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.json_values import jsonable
from thermal.plan.model import Plan, Power
from thermal.report.comparison_text import letters
from thermal.report.table_data import month_name, price_text

SAME_C = 0.01  # minima closer than this are one
ESCAPES = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


def choices_content(plan: Plan, comparison: Comparison, *, by_winter: bool = False) -> dict[str, Any]:
    """Values of the template `choices.html`.

    Parameters
    ----------
    plan : Plan
        The plan, for its units, measures and tariff.
    comparison : Comparison
        Packages and minimum temperatures.
    by_winter : bool
        Whether the page has a chart of all winters, which needs the heating in each.
    """
    letter, power = letters(plan), plan.power
    return {
        "measures": [
            (letter[measure.name], measure.name, price_text(measure.cost, power.currency)) for measure in plan.measures
        ],
        "currency": power.currency,
        "simple": _has_one_price(power),
        "span": comparison.season.span,
        "phrase": comparison.season.phrase,
        "data": embedded_json(choices_data(plan, comparison, by_winter=by_winter)),
    }


def embedded_json(value: Any) -> Markup:
    """A value as JSON that can stand inside of a `script` element: no text in it can end that element."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for character, escape in ESCAPES.items():
        text = text.replace(character, escape)
    return Markup(text)


def choices_data(plan: Plan, comparison: Comparison, *, by_winter: bool = False) -> dict[str, Any]:
    """Everything that the script shows, in arrays: position i of each belongs to package i, or to minimum i.

    Parameters
    ----------
    plan : Plan
        The plan, for its units, measures and tariff.
    comparison : Comparison
        Packages and minimum temperatures.
    by_winter : bool
        Whether the page has a chart of all winters, which needs the heating in each.
    """
    power, complete = plan.power, comparison.season.complete > 0
    packages = tuple(package for package in comparison.package_comparison.packages if not package.way)
    bits = {measure.name: 1 << number for number, measure in enumerate(plan.measures)}
    content: dict[str, Any] = {
        "currency": power.currency,
        "span": comparison.season.span,
        "complete": complete,
        "price": power.price,
        "charge": power.monthly_charge,
        "simple": _has_one_price(power),
        "months": [month_name(month) for month, _, _ in packages[0].result.months],
        "measures": [[letters(plan)[measure.name], measure.cost] for measure in plan.measures],
        "masks": [sum(bits[name] for name in package.measures) for package in packages],
        "packages": _columns([package.result for package in packages], power),
        "front": list(pareto_front(packages)),
        "minima": _minima(plan, comparison),
    }
    if by_winter:
        content["packages"]["byWinter"] = [round(kwh) for package in packages for kwh in package.result.winter_kwh]
    return {key: jsonable(value) for key, value in content.items()}


def _has_one_price(power: Power) -> bool:
    """Whether every kWh costs the same."""
    return not power.periods and not power.tiers


def _columns(results: Iterable[DesignResult], power: Power) -> dict[str, list[Any]]:
    """Figures of many designs, each an array; by month the energy where every kWh costs the same, or else the cost."""
    designs = list(results)
    simple = _has_one_price(power)
    return {
        "needed": [None if design.needed_w is None else round(design.needed_w, 5) for design in designs],
        "kwh": [round(design.kwh, 4) for design in designs],
        "cost": [round(design.cost, 5) for design in designs],
        "outage": [None if design.outage_h is None else round(design.outage_h, 4) for design in designs],
        "mould": [round(design.mould_h, 3) for design in designs],
        "byMonth": [round(kwh if simple else cost, 4) for design in designs for _, kwh, cost in design.months],
    }


def _minima(plan: Plan, comparison: Comparison) -> dict[str, Any]:
    """Every minimum water temperature of the slider without measures, and the effects of measures at some."""
    own_c, units = plan.keep.floor_c, UNIT_SYSTEMS[plan.units]
    steps: list[FloorStep] = []
    for step in comparison.floors:
        again = abs(step.floor_c - own_c) <= SAME_C or (steps and step.floor_c - steps[-1].floor_c <= SAME_C)
        if step.floor_c == own_c or not again:
            steps.append(step)
    celsius = [step.floor_c for step in steps]
    labels = [units.text("temperature", floor_c, 0) for floor_c in celsius]
    twice = len(set(labels)) < len(labels)
    return {
        "celsius": [round(floor_c, 3) for floor_c in celsius],
        "labels": [units.text("temperature", floor_c, 1) for floor_c in celsius] if twice else labels,
        "shown": [round(float(units.value("temperature", floor_c)), 3) for floor_c in celsius],
        "notes": [_cold_species(plan, floor_c) for floor_c in celsius],
        "own": celsius.index(own_c),
        "designs": _columns([step.result for step in steps], plan.power),
        "effects": _effects(comparison.separable, celsius),
    }


def _effects(separable: SeparableEffects | None, celsius: list[float]) -> dict[str, Any]:
    """Positions of the minima at which packages are estimated, and the logarithms there by figure."""
    if separable is None:
        return {"at": [], "needed": [], "kwh": [], "cost": []}
    kept = [number for number, floor_c in enumerate(separable.floors_c) if floor_c in celsius]
    names = {"needed": "needed_w", "kwh": "kwh", "cost": "cost"}
    return {
        "at": [celsius.index(separable.floors_c[number]) for number in kept],
        **{
            name: [[round(value, 6) for value in separable.logarithms[figure][number]] for number in kept]
            for name, figure in names.items()
        },
    }


def _cold_species(plan: Plan, floor_c: float) -> str:
    """Which of the plan's species a minimum is too cold for, in a sentence; empty where none."""
    names = [species.name for species in plan.keep.limits if floor_c < species.lowest_water_c]
    idle = [species.name for species in plan.keep.limits if species.lowest_water_c <= floor_c < species.working_c]
    dying = f"Too cold for {' and '.join(names)}." if names else ""
    resting = f"Too cold to feed or grow: {', '.join(idle)}." if idle else ""
    return f"{dying} {resting}".strip()
