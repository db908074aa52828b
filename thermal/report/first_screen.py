"""What a page shows first: a line for each inhabitant, what to buy, and what a winter costs."""

from __future__ import annotations

from dataclasses import dataclass

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.core.display_units import heater_list
from thermal.report.sentences import display_units
from thermal.report.table_data import price_text
from thermal.report.verdict_text import too_cold_by_reason


@dataclass(frozen=True)
class VerdictLine:
    """The verdict on the water, or on inhabitants that share it.

    Attributes
    ----------
    names : str
        "Water", or the names of the inhabitants.
    ok : bool
        Whether water and air are warm enough for them, and the water not too warm.
    text : str
        Why, in words.
    """

    names: str
    ok: bool
    text: str


def verdict_lines(assessment: Assessment) -> list[VerdictLine]:
    """The water, the inhabitants that are warm enough, and those that are not by reason, in this order."""
    verdict = assessment.verdict
    lines = [_water(assessment)]
    good = [item.name for item in verdict.inhabitants if item.ok]
    if good:
        lines.append(
            VerdictLine(_capital(", ".join(good)), True, f"warm enough in winter {verdict.inhabitants[0].winter}")
        )
    for reason, names in too_cold_by_reason(assessment).items():
        text = f"{reason} (winter {verdict.inhabitants[0].winter})"
        lines.append(VerdictLine(_capital(", ".join(names)), False, text))
    return lines


def first_figures(full: FullAssessment, main: list[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """Name, value and note of what to buy, of the first measure, and of the main figures, the cost first.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.
    main : list of (str, str, str)
        Name, value and range of the main figures, as `assessment_tables.headline` gives them, the cost last.
    """
    return [_to_buy(full.assessment), *_first_measure(full), *reversed(main)]


def _water(assessment: Assessment) -> VerdictLine:
    """Whether the water stays between its limits with the heaters of the answer."""
    units, heater, keep = display_units(assessment), assessment.heater, assessment.case.plan.keep
    minimum = units.text("temperature", keep.floor_c, 0)
    if heater.hours_below > 0:
        coldest = units.below(heater.coldest_c, keep.floor_c)
        owned = f"with {heater_list(heater.installed_w)} it falls to {coldest}"
        return VerdictLine("Water", False, f"{owned} and is below {minimum} for {heater.hours_below:,.0f} h")
    if assessment.holds_unheated and heater.warmest_c > keep.upper_c:
        high, upper = units.text("temperature", heater.warmest_c), units.text("temperature", keep.upper_c, 0)
        return VerdictLine("Water", False, f"it gets too warm: up to {high}, and should stay below {upper}")
    if assessment.holds_unheated:
        likely = "most likely " if heater.buy_w else ""
        return VerdictLine("Water", True, f"{likely}stays at {minimum} or above without a heater")
    which = "these heaters" if heater.buy_w else "the heaters you own"
    return VerdictLine("Water", True, f"stays at {minimum} or above with {which}")


def _to_buy(assessment: Assessment) -> tuple[str, str, str]:
    """The heaters to buy, where they go, and the thermostat's setting."""
    heater, plan = assessment.heater, assessment.case.plan
    setting = f"thermostat at {display_units(assessment).text('temperature', heater.setpoint_c)}"
    if heater.buy_w:
        instead = "; what you own is not enough" if plan.heater.units_w else ""
        return "buy", heater_list(heater.buy_w), f"heaters in the {plan.heater.where}, {setting}{instead}"
    if heater.needed_w > 0:
        return "buy", "no heater", f"the {heater_list(heater.installed_w)} you own is enough, {setting}"
    return "buy", "no heater", "none is needed"


def _first_measure(full: FullAssessment) -> list[tuple[str, str, str]]:
    """The measure to start with, its price and what it saves; empty where none saves heat."""
    ranking, currency = full.comparison.package_comparison.ranking, full.assessment.case.plan.power.currency
    if not ranking:
        return []
    first, span = ranking[0], full.comparison.season.span
    price = "costs nothing" if first.cost == 0 else price_text(first.cost, currency)
    return [("insulate first", first.measure, f"{price}; saves {price_text(first.saves, currency)} {span}")]


def _capital(text: str) -> str:
    """A text with a capital letter first."""
    return text[:1].upper() + text[1:]
