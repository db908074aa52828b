"""Sentences shared by terminal and page: the verdict, the basis, and the cautions."""

from __future__ import annotations

from thermal.analysis.advice import MAX_TEMPERATURE_CHANGE_K_PER_DAY
from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.analysis.case import SimulationCase
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits
from thermal.plan.model import Plan

PAYS_WITHIN_WINTERS = 5.0  # measures that pay back later are not put on the list
CAUTIONS = (
    "Electricity beside water can kill: RCD/GFCI on every circuit, drip loops, sockets above the rim, no extension"
    " cords. Local codes and a licensed electrician decide.",
    "Heaters fully under water, guarded, switched off before the tank is drained; an independent over-temperature"
    " cut-out and an alarm.",
    "A heater is a continuous load: at most 80 % of its circuit.",
    "Oxygen runs out before the cold does when the power fails: keep air and flow going first.",
)


def display_units(assessment: Assessment) -> DisplayUnits:
    """The unit system the plan asks for."""
    return UNIT_SYSTEMS[assessment.case.plan.units]


def verdict(assessment: Assessment) -> str:
    """The answer in one or two sentences."""
    units, plan, heater = display_units(assessment), assessment.case.plan, assessment.heater
    floor = units.text("temperature", plan.keep.floor_c, 0)
    coldest = assessment.coldest
    day = coldest.coldest_at[:10]
    if assessment.holds_unheated:
        low = units.text("temperature", coldest.coldest_c)
        if heater.warmest_c > plan.keep.upper_c:
            high = units.text("temperature", heater.warmest_c)
            upper = units.text("temperature", plan.keep.upper_c, 0)
            return (
                f"Needs no heater, but gets too warm: the water goes from {low} (on {day}) to {high}, and should stay"
                f" between {floor} and {upper}."
            )
        return f"Overwinters without a heater: the coldest water is {low} (on {day}), above the floor of {floor}."
    how = f"for {coldest.hours_below:,.0f} h of winter {coldest.label}"
    unheated = f"Without a heater the water falls below {floor} {how}" + (", and freezes" if coldest.hours_ice else "")
    if heater.hours_below > 0:
        return (
            f"Not with what you own: {_units(heater.installed_w)} leaves the water at"
            f" {units.text('temperature', heater.coldest_c)};"
            f" {_round_w(heater.needed_w)} W is the least that holds {floor}."
        )
    median = assessment.season.winter_costs[assessment.season.median]
    money = f"{median.cost:,.0f} {plan.power.currency}"
    return (
        f"Overwinters with {_units(heater.installed_w)} in the {plan.heater.where}: at least"
        f" {_round_w(heater.needed_w)} W"
        f" holds {floor}, about {median.kwh:,.0f} kWh or {money} a winter. {unheated}."
    )


def _units(watts: tuple[float, ...]) -> str:
    if not watts:
        return "no heater"
    if len(set(watts)) == 1:
        return f"{len(watts)} × {watts[0]:.0f} W"
    return " + ".join(f"{one:.0f} W" for one in watts)


def _round_w(watts: float) -> str:
    """Watts to the ten: more digits than that are not known."""
    return f"{round(watts, -1):,.0f}"


def basis(case: SimulationCase) -> str:
    """What the figures rest on."""
    climate, weather = case.climate, case.weather
    full = sum(winter.complete for winter in weather.winters)
    filled = sum(winter.filled_hours for winter in weather.winters)
    total = sum(winter.hours for winter in weather.winters)
    return (
        f"{climate.header.place or climate.header.name}: {len(weather.winters)} winter(s), {full} complete,"
        f" {filled / total:.1%} of hours filled in. Evaporation is known to about ±20 %, presets to less."
    )


def cautions(assessment: Assessment) -> tuple[str, ...]:
    """Safety, short and for this plan."""
    plan, room = assessment.case.plan, assessment.case.plan.room
    said = list(CAUTIONS)
    if assessment.heater.needed_w > 0:
        said.append("No unvented gas or kerosene indoors: it makes carbon monoxide, and as much water as it burns.")
    if room.temperature_c is None and any(one.hours_frozen_room for one in assessment.unheated):
        said.append("The room itself freezes: drain or heat idle pipes, and keep water moving in the rest.")
    if plan.keep.species:
        said.append(f"Change the temperature of {plan.keep.species[0]} by no more than {slow_change(plan)}.")
    return tuple(said)


def slow_change(plan: Plan) -> str:
    """How far animals bear their water to change."""
    units = UNIT_SYSTEMS[plan.units]
    slow, fast = (units.difference(one, 0) for one in MAX_TEMPERATURE_CHANGE_K_PER_DAY)
    return f"{slow} to {fast} a day (from memory)"


def where_heat_goes(assessment: Assessment) -> str:
    """The largest losses at the hardest hour."""
    season = assessment.season
    losses = {name: watts for name, watts in season.design_paths_w.items() if watts > 0}
    total = sum(losses.values())
    ranked = sorted(losses, key=lambda name: -losses[name])[:4]
    parts = ", ".join(f"{name} {losses[name] / total:.0%}" for name in ranked)
    return f"At the hardest hour ({season.design_at[:16].replace('T', ' ')}) heat leaves by {parts}." if parts else ""


def damp(assessment: Assessment) -> str:
    """Whether the room runs wet."""
    found, plan = assessment.damp, assessment.case.plan
    if not found.side:
        return "The room's air is given, so its walls are not judged."
    winter = assessment.season.winter_costs[assessment.season.median].label
    if not found.condensation_hours and not found.mould_hours:
        return f"In winter {winter} the {found.side} neither runs wet nor stays humid enough for mould."
    changes = f"{plan.room.air_changes_per_h:g} air changes an hour"
    return (
        f"In winter {winter} water condenses on the {found.side} for {found.condensation_hours:,} h, and its surface is"
        f" above 80 % humidity, where mould grows in time, for {found.mould_hours:,} h ({changes}). Covers on the water"
        " help most: what does not evaporate cannot condense."
    )


def buy_list(full: FullAssessment) -> list[str]:
    """What to buy, for this plan."""
    assessment, ranking = full.assessment, full.comparison.comparison.ranking
    heater, plan = assessment.heater, assessment.case.plan
    bought = []
    if heater.buy_w:
        setting = display_units(assessment).text("temperature", heater.setpoint_c)
        bought.append(f"Heaters: {_units(heater.buy_w)}, each with its own thermostat, set to {setting}.")
    elif heater.needed_w > 0:
        bought.append(f"No heater: {_units(heater.installed_w)} is there and holds.")
    if heater.needed_w > 0:
        bought.append("An RCD/GFCI for their circuit, an over-temperature cut-out, guards round the heaters.")
    bought.append(
        "A thermometer with an alarm, a battery air pump, and a spare heater or lid for the day of a failure."
    )
    currency = plan.power.currency
    for step in [one for one in ranking if one.cost <= PAYS_WITHIN_WINTERS * one.saves]:
        bought.append(
            f"{step.measure}: {step.cost:,.0f} {currency}, saves {step.saves:,.0f} {currency} a winter; then"
            f" {_round_w(step.package.result.needed_w or 0.0)} W suffice."
        )
    return bought


def assumptions(assessment: Assessment) -> tuple[str, ...]:
    """What was taken as given that nobody measured."""
    plan, climate = assessment.case.plan, assessment.case.climate
    said = [
        "Tops, fills, builds and air changes named in words are presets at their likely value.",
        "No solar gain is counted; that is on the safe side.",
        "Hours are local standard time all winter.",
    ]
    if plan.room.temperature_c is None:
        said.append(
            f"Air changes: {plan.room.air_changes_per_h:g} an hour ({plan.room.leakiness})."
            f" Ground: {plan.room.floor.soil}."
        )
    if climate.assumed:
        said.append("Humidity 75 % and wind 3 m/s stand in where the series has none.")
    return tuple(said)
