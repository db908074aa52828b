"""Many winters in words: how often heat is needed, a typical winter, one in ten, the worst on record."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.many_winters import MANY, Chances
from thermal.core.display_units import percent_text
from thermal.report import sentences
from thermal.report.table_data import Rows, energy


def chances_sentence(assessment: Assessment) -> str:
    """How often the minimum is missed without heat, and what is harder in one winter of ten and in the worst."""
    record, units = assessment.chances, sentences.display_units(assessment)
    if record is None:
        return ""
    minimum = units.text("temperature", assessment.case.plan.keep.floor_c, 0)
    often = (
        f"Without a heater the water falls below {minimum} in {record.missed} of {record.winters} winters."
        if record.missed
        else f"Without a heater the water stays at or above {minimum} in all {record.winters} winters."
    )
    typical, tenth, worst = (
        units.text("temperature", winter.coldest_outdoors_c)
        for winter in (record.typical, record.one_in_ten, record.worst)
    )
    sentence = (
        f"{often} The coldest hour outdoors has {typical} in a typical winter, {tenth} or less in one of ten, and"
        f" {worst} in the coldest on record."
    )
    return f"{sentence} {_more_heating(record)}" if record.typical.kwh else sentence


def _more_heating(record: Chances) -> str:
    """How much more heating one winter in ten takes, and the worst on record."""
    tenth, worst = (winter.kwh / record.typical.kwh - 1.0 for winter in (record.one_in_ten, record.worst))
    return (
        f"One winter in ten takes at least {percent_text(tenth)} more heating than a typical one; the worst on record,"
        f" {record.worst_label}, takes {percent_text(worst)} more."
    )


def chances_table(assessment: Assessment) -> Rows:
    """Figures of a typical winter, of one in ten and of the worst on record; without rows where there are too few."""
    plan, units = assessment.case.plan, sentences.display_units(assessment)
    minimum = units.text("temperature", plan.keep.floor_c, 0)
    heads = (
        "winter", "coldest hour outdoors", "coldest water, unheated", f"hours below {minimum}, unheated",
        "heating (kWh)", f"cost ({plan.power.currency})",
    )  # fmt: skip
    return Rows(heads, () if assessment.chances is None else _rows(assessment, assessment.chances))


def _rows(assessment: Assessment, record: Chances) -> tuple[tuple[str, ...], ...]:
    """The rows of the table of chances."""
    units = sentences.display_units(assessment)
    named = (("typical", record.typical), ("one in ten is harder", record.one_in_ten), ("worst", record.worst))
    return tuple(
        (
            name,
            units.text("temperature", winter.coldest_outdoors_c),
            units.text("temperature", winter.coldest_unheated_c),
            f"{winter.hours_below:,.0f}",
            f"{winter.kwh:,.0f}",
            f"{winter.cost:,.0f}",
        )
        for name, winter in named
    )


def chosen_sentence(assessment: Assessment) -> str:
    """Which winters a short table shows; empty where it shows all."""
    count = len(assessment.unheated)
    if count <= MANY:
        return ""
    return (
        f"Of {count} winters, the coldest, a typical one, the dearest and the mildest are shown; answer.json has all."
    )


def strip_alt(assessment: Assessment) -> str:
    """The chart of all winters in words, for readers who cannot see it."""
    unheated, season, units = assessment.unheated, assessment.season, sentences.display_units(assessment)
    warmest = max(winter.coldest_c for winter in unheated)
    kwh = [bill.kwh for bill in season.winter_costs if bill.complete]
    heating = f" Heating takes {energy(min(kwh))} to {energy(max(kwh))} kWh a winter." if kwh else ""
    return (
        f"Coldest water without a heater and coldest hour outdoors in each of {len(unheated)} winters. The coldest"
        f" water is {units.text('temperature', assessment.coldest.coldest_c)} to"
        f" {units.text('temperature', warmest)}.{heating}"
    )
