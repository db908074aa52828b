"""The verdict on each inhabitant in the headline: who is warm enough, and why others are not."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.verdict_results import InhabitantVerdict
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits

PLANT = "plant"


def combined_verdict(assessment: Assessment) -> str:
    """Who is warm enough and who is not, with the reason; empty where all are.

    "Yes" stands for water and air that are warm enough in every hour of the coldest winter with the recommended heaters
    on.
    """
    verdict = assessment.verdict
    if verdict.ok:
        return ""
    good = [item for item in verdict.inhabitants if item.ok]
    parts = [f"{', '.join(item.name for item in good)} yes"] if good else []
    if all(item.kind == PLANT for item in verdict.inhabitants) and assessment.heater.hours_below == 0:
        parts.insert(0, "water yes")
    parts += [f"{', '.join(names)} no: {reason}" for reason, names in too_cold_by_reason(assessment).items()]
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]} (winter {verdict.inhabitants[0].winter})."


def too_cold_by_reason(assessment: Assessment) -> dict[str, list[str]]:
    """Names of the inhabitants that are not warm enough, by the reason in words."""
    units = UNIT_SYSTEMS[assessment.case.plan.units]
    reasons: dict[str, list[str]] = {}
    for item in assessment.verdict.inhabitants:
        if not item.ok:
            reasons.setdefault(_reason(assessment, item, units), []).append(item.name)
    return reasons


def _reason(assessment: Assessment, item: InhabitantVerdict, units: DisplayUnits) -> str:
    """Why an inhabitant is not warm enough."""
    reasons = []
    if not item.water_ok:
        coldest, lowest = (units.text("temperature", c) for c in (item.coldest_water_c, item.lowest_water_c))
        reasons.append(f"the water falls to {coldest} and is below {lowest} for {item.hours_water:,.0f} h")
    if item.air_ok is False:
        coldest, lowest = (units.text("temperature", c) for c in (item.coldest_air_c, item.lowest_air_c))
        frost = f"{item.frost_hours:,.0f} h of frost"
        cold = f"below {lowest} for {item.hours_air or 0.0:,.0f} h"
        frosty, at_zero = item.frost_hours > 0, item.lowest_air_c == 0.0
        how_long = f", {frost}" if at_zero else f", {frost}, {cold}" if frosty else f" and is {cold}"
        reasons.append(f"the {_place(assessment)}'s air falls to {coldest}{how_long}")
    return ", and ".join(reasons)


def _place(assessment: Assessment) -> str:
    """Whose air is around the beds."""
    return "room" if assessment.case.plan.hut is None else "hut"
