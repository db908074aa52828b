"""When heat is needed, as a sentence."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.heating_dates import HeatedDays
from thermal.core.display_units import DisplayUnits
from thermal.report.sentences import display_units


def heating_dates_sentence(assessment: Assessment) -> str:
    """First and last date of heating, and the thermostat's setting; empty where no heat is needed."""
    dates, basis = assessment.heating_dates, assessment.case.season
    if assessment.holds_unheated or dates is None or dates.earliest is None:
        return ""
    units = display_units(assessment)
    setting = units.text("temperature", dates.thermostat_c)
    place = "room's thermostat" if assessment.case.plan.heater.where == "room" else "thermostat"
    sentence = f"Set the {place} to {setting}."
    if dates.typical is not None and dates.typical.last is not None:
        last = units.day_of_year(dates.typical.last) + (" or later" if dates.typical.to_end else "")
        sentence += f" Heat is needed from {_first(dates.typical, units)} to {last} in {basis.phrase}."
    if dates.typical is None or dates.earliest.winter != dates.typical.winter:
        sentence += f" In the earliest winter of the weather file ({dates.earliest.winter}) it is needed from"
        sentence += f" {_first(dates.earliest, units)}."
    return sentence


def _first(days: HeatedDays, units: DisplayUnits) -> str:
    """The first date as text."""
    return units.day_of_year(days.first) + (" or earlier" if days.from_start else "")
