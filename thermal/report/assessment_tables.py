"""Tables of an assessment: main figures, winters and months."""

from __future__ import annotations

from collections.abc import Callable

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.analysis.many_winters import COLDEST, MANY, TYPICAL, shown_winters
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report import sentences, uncertainty_text
from thermal.report.feeding_text import month_cells
from thermal.report.table_data import Rows, energy, month_name, price_text, watts


def headline(full: FullAssessment) -> list[tuple[str, str, str]]:
    """The four main figures of an assessment, each with its range.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.

    Returns
    -------
    list of (str, str, str)
        Name, median and 5 to 95 % range of each figure over the samples, with units; the range is empty where it is
        not known, the value then that at likely inputs. Energy and cost are left out where no winter is complete.
    """
    assessment, bands = full.assessment, full.uncertainty.bands
    units, season, heater = sentences.display_units(assessment), assessment.season, assessment.heater
    typical, currency = season.winter_costs[season.median], assessment.case.plan.power.currency
    basis = assessment.case.season
    figures: list[tuple[str, str, float, Callable[[float], str]]] = [
        ("coldest water, unheated", "coldest_unheated_c", assessment.coldest.coldest_c,
         lambda c: units.text("temperature", c)),
        ("heater needed", "needed_w", heater.needed_w, lambda w: f"{watts(w)} W"),
        (f"heating, {basis.short}", "kwh", typical.kwh, lambda kwh: f"{energy(kwh)} kWh"),
        (f"cost, {basis.short}", "cost", typical.cost, lambda cost: price_text(cost, currency)),
    ]  # fmt: skip
    return [
        (label, as_text(assessment.middle(name, likely)), uncertainty_text.between(bands.get(name), as_text))
        for label, name, likely, as_text in figures[: 4 if basis.complete else 2]
    ]


def winters_table(assessment: Assessment) -> Rows:
    """Table of winters: coldest water and hours below the minimum without a heater, heating and its cost.

    Of more than five it has the coldest, the typical, the dearest and the mildest.
    """
    units, plan = sentences.display_units(assessment), assessment.case.plan
    minimum = units.text("temperature", plan.keep.floor_c, 0)
    return Rows(
        (
            "winter", "coldest water, unheated", "on", f"hours below {minimum}, unheated", "heating (kWh)",
            f"cost ({plan.power.currency})",
        ),
        tuple(
            (
                _winter_name(assessment, winter),
                units.text("temperature", cold.coldest_c),
                units.day(cold.coldest_at),
                f"{cold.hours_below:,.0f}",
                f"{bill.kwh:,.0f}" if bill.complete else "—",
                f"{bill.cost:,.0f}" if bill.complete else "—",
            )
            for winter, bill, cold in (
                (i, assessment.season.winter_costs[i], assessment.unheated[i]) for i in marked_winters(assessment)
            )
        ),
    )  # fmt: skip


def marked_winters(assessment: Assessment) -> dict[int, list[str]]:
    """Index of each winter that a table shows, with what is said of it: all up to five, or else four of them."""
    season, unheated = assessment.season, assessment.unheated
    coldest = unheated.index(assessment.coldest)
    chosen = shown_winters(unheated, season, coldest)
    if len(unheated) > MANY:
        return {winter: _incomplete(assessment, winter) + names for winter, names in chosen.items()}
    marks = {winter: _incomplete(assessment, winter) for winter in range(len(unheated))}
    if assessment.case.season.has_median:
        marks[season.median].append(TYPICAL)
    if len(unheated) > 1:
        marks[coldest].append(COLDEST)
    return marks


def _incomplete(assessment: Assessment, winter: int) -> list[str]:
    """Says of a winter that the weather file does not cover all of it."""
    return [] if assessment.season.winter_costs[winter].complete else ["incomplete"]


def _winter_name(assessment: Assessment, winter: int) -> str:
    """A winter's name, marked where the sentences speak of it."""
    marks = marked_winters(assessment)[winter]
    return assessment.unheated[winter].label + (f" ({', '.join(marks)})" if marks else "")


def months_table(assessment: Assessment) -> Rows:
    """Table of the months of the typical winter: heating, cost and the sums of both, mean water, bacteria."""
    season, water = assessment.season, month_cells(assessment.feeding, assessment.case.plan.units)
    extra: list[tuple[str, ...]] = [*water] or [()] * len(season.months)
    rows: list[tuple[str, ...]] = [
        (month_name(month.month), f"{month.kwh:,.0f}", f"{month.cost:,.2f}", *cells)
        for month, cells in zip(season.months, extra, strict=False)
    ]
    median = season.winter_costs[season.median]
    whole = ("whole winter" if median.complete else "days covered", f"{median.kwh:,.0f}", f"{median.cost:,.2f}")
    rows.append((*whole, *([""] * len(extra[0]) if extra else [])))
    heads = ["month", "heating (kWh)", f"cost ({assessment.case.plan.power.currency})"]
    if water:
        full = UNIT_SYSTEMS[assessment.case.plan.units].text("temperature", 25.0, 0)
        heads += ["water, mean", f"nitrification (of {full})"]
    return Rows(tuple(heads), tuple(rows))
