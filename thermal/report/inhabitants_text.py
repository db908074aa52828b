"""A line for each animal and plant, and what keeps the air warm enough for plants that are too cold."""

from __future__ import annotations

from thermal import data
from thermal.analysis.assessment import Assessment
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report.table_data import Rows, energy, watts


def inhabitants_table(assessment: Assessment) -> Rows:
    """Table of animals and plants: whether water and air are warm enough, how many hours not, and since when."""
    units = UNIT_SYSTEMS[assessment.case.plan.units]

    def judgement(ok: bool, coldest: float, lowest: float | None, hours: float | None, since: str | None) -> str:
        """Whether one limit is met, in words."""
        limit = units.text("temperature", lowest)
        if ok:
            return f"yes: {units.text('temperature', coldest)}, lowest allowed {limit}"
        since_when = f" since {units.moment(since)}" if since else ""
        return f"no: {units.text('temperature', coldest)}, below {limit} for {hours or 0.0:,.0f} h{since_when}"

    return Rows(
        ("", "water warm enough?", "air warm enough?"),
        tuple(
            (
                item.name,
                judgement(
                    item.water_ok, item.coldest_water_c, item.lowest_water_c, item.hours_water, item.water_below_at
                ),
                "not judged"
                if item.air_ok is None
                else judgement(item.air_ok, item.coldest_air_c, item.lowest_air_c, item.hours_air, item.air_below_at),
            )
            for item in assessment.verdict.inhabitants
        ),
        left=3,
    )


def basis_of_verdict(assessment: Assessment) -> str:
    """What the table of inhabitants means; empty where there are none."""
    verdict = assessment.verdict
    if not verdict.inhabitants:
        return ""
    return (
        f"Each animal and plant in winter {verdict.inhabitants[0].winter}, with the recommended heaters on. Water is"
        " judged at the lowest that an animal, or a plant's roots, stand for a season; they feed and grow only in"
        " warmer water. Air is judged at the lowest that a plant's leaves stand, if hardened by some weeks of cool air."
    )


def remedies_sentence(assessment: Assessment) -> str:
    """What keeps the air warm enough for the plants, and which others would stand it; empty where the air is."""
    verdict = assessment.verdict
    if not verdict.plants_too_cold:
        return ""
    names = ", ".join(item.name for item in verdict.plants_too_cold)
    if verdict.remedies:
        first = (
            f"Each of these keeps the air warm enough for {names}; energy and cost are the heaters' in a typical"
            " winter, without the price of hut or cover."
        )
    elif assessment.case.plan.room.temperature_c is not None:
        first = f"The room's air temperature is given in the plan: {names} would need a warmer room."
    else:
        first = f"No way simulated (heat in the air, a hut, a night cover) keeps the air warm enough for {names}."
    if verdict.other_plants:
        units, lowest = UNIT_SYSTEMS[assessment.case.plan.units], data.species()
        others = (
            f"{name} (to {units.text('temperature', lowest[name].lowest_air_c)})" for name in verdict.other_plants
        )
        return f"{first} Other plants that would stand the air as it is: {', '.join(others)}."
    return f"{first} No other plant listed would stand the air as it is."


def remedies_table(assessment: Assessment) -> Rows:
    """Table of what keeps the air warm enough for the plants: heater, energy, cost and coldest air of each."""
    plan = assessment.case.plan
    units = UNIT_SYSTEMS[plan.units]
    return Rows(
        (
            "to keep the plants warm",
            "heater needed (W)",
            "heating (kWh)",
            f"cost ({plan.power.currency})",
            "coldest air",
        ),
        tuple(
            (
                f"{remedy.name} ({remedy.meaning})" if remedy.meaning else remedy.name,
                watts(remedy.needed_w),
                energy(remedy.kwh),
                f"{remedy.cost:,.0f}",
                units.text("temperature", remedy.coldest_air_c),
            )
            for remedy in assessment.verdict.remedies
        ),
    )
