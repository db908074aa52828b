"""Sentences that terminal and page share: the verdict, its basis, and cautions."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.analysis.case import SimulationCase
from thermal.analysis.plan_words import MAX_TEMPERATURE_CHANGE_K_PER_DAY, air_changes_text
from thermal.analysis.results import MoistureHours
from thermal.climate.assumed_weather import assumed_humidity_text, assumed_wind_text
from thermal.climate.dataset import Climate
from thermal.climate.rare_cold import is_reanalysis
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits, heater_list, percent_text
from thermal.plan.model import Plan
from thermal.report.circuit_text import circuits_sentence, on_circuits
from thermal.report.sun_text import sun_and_sky_sentences, sun_effect_sentence
from thermal.report.table_data import energy, price_text, watts
from thermal.report.verdict_text import combined_verdict

PAYS_WITHIN_WINTERS = 5.0  # a measure that takes longer to pay back is not on the list
CAUTIONS = (
    "Electricity beside water can kill: use an RCD/GFCI on every circuit, drip loops, sockets above the rim, and no"
    " extension cords. Follow your local code and ask a licensed electrician.",
    "Keep heaters fully under water and guarded. Switch them off before you drain the tank. Fit an independent"
    " over-temperature cut-out and an alarm.",
    "A heater is a continuous load: it may take at most 80 % of its circuit.",
    "In a power cut oxygen runs out before the water gets too cold: keep air and water moving first.",
)


def display_units(assessment: Assessment) -> DisplayUnits:
    """The units that the plan asks for."""
    return UNIT_SYSTEMS[assessment.case.plan.units]


def verdict(assessment: Assessment) -> str:
    """The answer in a few short sentences: who is warm enough, whether a heater is needed, which, and what it costs.

    It does not begin with "yes" where an animal or a plant is too cold.
    """
    combined, about_water = combined_verdict(assessment), _water_verdict(assessment)
    if not combined:
        return about_water
    if about_water.startswith("Yes, "):
        kept = about_water.removeprefix("Yes, ")
        about_water = f"The minimum water temperature is kept{',' if kept.startswith('but') else ''} {kept}"
    return f"{combined} {about_water}"


def _water_verdict(assessment: Assessment) -> str:
    """The part of the verdict that is about the water."""
    units, heater, floor_c = display_units(assessment), assessment.heater, assessment.case.plan.keep.floor_c
    minimum = units.text("temperature", floor_c, 0)
    if assessment.holds_unheated:
        return _unheated_verdict(assessment, minimum)
    if heater.hours_below > 0:
        small = "heater is" if len(heater.installed_w) == 1 else "heaters are"
        return (
            f"Your {small} too small: with {heater_list(heater.installed_w)} the water would fall to"
            f" {units.below(heater.coldest_c, floor_c)}. You need at least {watts(heater.needed_w)} W to keep"
            f" it at {minimum}. {_without_heater(assessment, minimum)}"
        )
    return f"{_heater_verdict(assessment, minimum)} {_without_heater(assessment, minimum)}"


def _unheated_verdict(assessment: Assessment, minimum: str) -> str:
    """The verdict where no heater is needed."""
    units, keep, heater = display_units(assessment), assessment.case.plan.keep, assessment.heater
    low, day = units.text("temperature", assessment.coldest.coldest_c), units.day(assessment.coldest.coldest_at)
    if heater.warmest_c > keep.upper_c:
        high, upper = units.text("temperature", heater.warmest_c), units.text("temperature", keep.upper_c, 0)
        return (
            f"No heater is needed, but the water gets too warm: it ranges from {low} (on {day}) to {high}, and should"
            f" stay between {minimum} and {upper}."
        )
    if heater.buy_w:
        return (
            f"Most likely without a heater: the coldest water is then {low} (on {day}), not below the minimum of"
            f" {minimum}. To be safe in 9 of 10 samples, buy {heater_list(heater.buy_w)}{on_circuits(heater.circuits)}."
        )
    return f"Yes, without a heater: the coldest water is {low} (on {day}), not below the minimum of {minimum}."


def _heater_verdict(assessment: Assessment, minimum: str) -> str:
    """The verdict where heaters are needed, and those the user has, or those to buy, are enough."""
    heater, plan = assessment.heater, assessment.case.plan
    typical = assessment.season.winter_costs[assessment.season.median]
    to_buy = f"{heater_list(heater.buy_w)}{on_circuits(heater.circuits)}"
    if heater.buy_w and plan.heater.units_w:
        owned = heater_list(plan.heater.units_w)
        first = f"Yes, but not with what you own ({owned}): no circuit of the plan may carry it. Buy {to_buy}."
    elif heater.buy_w:
        first = f"Yes, with heaters in the {plan.heater.where}: buy {to_buy}."
    else:
        noun = "heater" if len(heater.installed_w) == 1 else "heaters"
        first = f"Yes, with the {noun} you own ({heater_list(heater.installed_w)})."
    needed_w = assessment.middle("needed_w", heater.needed_w)
    kwh, cost = assessment.middle("kwh", typical.kwh), assessment.middle("cost", typical.cost)
    power = _least_power(assessment, needed_w, minimum)
    if not typical.complete:
        return f"{first} {power} The weather file has no complete winter, so no energy or cost of a winter is given."
    return (
        f"{first} {power} Heating uses about {energy(kwh)} kWh ({price_text(cost, plan.power.currency)}) in"
        f" {assessment.case.season.phrase}."
    )


def _least_power(assessment: Assessment, needed_w: float, minimum: str) -> str:
    """How much power is needed, and how far the heaters to buy go beyond it."""
    heater = assessment.heater
    if assessment.uncertainty is None:
        return (
            f"At least {watts(needed_w)} W is needed to keep the water at {minimum}; {watts(heater.buy_for_w)} W is"
            " about enough in 9 of 10 cases, as an approximation."
        )
    return (
        f"Most likely {watts(needed_w)} W is needed to keep the water at {minimum}; {watts(heater.buy_for_w)} W is"
        " enough in 9 of 10 samples."
    )


def _without_heater(assessment: Assessment, minimum: str) -> str:
    """How long the water would be too cold without a heater, and in which winter."""
    coldest = assessment.coldest
    if coldest.hours_below == 0:
        return f"Without a heater the water would stay at or above {minimum} but in a rare cold spell."
    freezes = ", and would freeze" if coldest.hours_ice else ""
    return (
        f"Without a heater the water would be below {minimum} for {coldest.hours_below:,.0f} h of"
        f" {coldest_winter(assessment)}{freezes}."
    )


def coldest_winter(assessment: Assessment) -> str:
    """The winter that verdict and chart show, and why it was chosen."""
    coldest, winters = assessment.coldest, assessment.unheated
    if len(winters) == 1:
        return f"winter {coldest.label}"
    tied = sum(round(winter.coldest_c, 2) == round(coldest.coldest_c, 2) for winter in winters) > 1
    return f"winter {coldest.label} (the one with the coldest {'hour outdoors' if tied else 'water'})"


def basis(case: SimulationCase) -> str:
    """The weather behind the figures, their main uncertainty, and what "typical winter" means."""
    climate, winters = case.climate, case.weather.winters
    full = sum(winter.complete for winter in winters)
    filled = sum(winter.filled_hours for winter in winters) / sum(winter.hours for winter in winters)
    gaps = "no gaps" if filled == 0 else f"{percent_text(filled, 1)} of hours filled in"
    if len(winters) == 1:
        weather = f"1 winter of weather ({'complete' if full else 'incomplete'}, {gaps})"
    else:
        weather = f"{len(winters)} winters of weather ({full} complete, {gaps})"
    place = climate.header.place or climate.header.name
    return (
        f"{place}: {weather}.{reanalysis_note(climate)} {_season_basis(case)}{_rare_cold(case)} Evaporation is"
        " uncertain by ±20 %; `overwinter check` shows the range of every assumed value."
    )


def reanalysis_note(climate: Climate) -> str:
    """What a weather file that nobody measured leaves out; empty for others."""
    if not is_reanalysis(climate):
        return ""
    return (
        " It is a reanalysis: computed for a grid cell, not measured. It smooths the coldest hours of a valley, so the"
        " rare cold spell is taken colder."
    )


def _rare_cold(case: SimulationCase) -> str:
    """The cold spell that the heater is sized for; empty where the weather as recorded is enough."""
    rare, units = case.rare_cold, UNIT_SYSTEMS[case.plan.units]
    if rare is None:
        return ""
    low, recorded = units.text("temperature", rare.outdoor_c), units.text("temperature", rare.recorded_c)
    why = "the record low of the plan" if rare.basis == "plan" else "about once in 20 years"
    return (
        f" The heater is sized for a cold spell down to {low} outdoors ({why}; coldest hour in the weather file"
        f" {recorded}). Energy and cost are those of the weather as recorded."
    )


def _season_basis(case: SimulationCase) -> str:
    """The winter that energy and cost are those of."""
    season, year = case.season, case.weather.joined_year
    if season.joined:
        return (
            f"The winter is put together: October to December {year} first, then January to April {year}, here dated"
            f" {(year or 0) + 1}. No such winter occurred."
        )
    if not season.complete:
        return "No winter is complete, so no energy or cost of a winter is given."
    if not season.has_median and season.label != "typical":
        return f"Energy and cost are those of {season.phrase}; a winter has the name of the year it begins in."
    if not season.has_median:
        return "Energy and cost are those of the typical year."
    return "A typical winter is the median of the complete winters; each winter has the name of the year it begins in."


def season_winter(assessment: Assessment) -> str:
    """The winter whose months are shown: "winter 2016, the typical one" or "winter 2016, the only complete one"."""
    label, basis = assessment.season.winter_costs[assessment.season.median].label, assessment.case.season
    if basis.has_median:
        return f"winter {label}, the typical one"
    if not basis.complete:
        return f"the days of winter {label} that the weather file covers"
    return basis.phrase if basis.label != "typical" else "the typical winter"


def cautions(assessment: Assessment) -> tuple[str, ...]:
    """Safety rules for this plan."""
    plan, room = assessment.case.plan, assessment.case.plan.room
    sentences = list(CAUTIONS)
    if assessment.heater.needed_w > 0:
        sentences.append(
            "Never burn gas or kerosene indoors without a flue: it makes carbon monoxide, and at least as much water as"
            " the fuel burned."
        )
    if room.temperature_c is None and any(winter.hours_frozen_room for winter in assessment.unheated):
        sentences.append("The room itself freezes: drain or heat idle pipes, and keep water moving in the others.")
    if plan.keep.species:
        sentences.append(
            f"Change the water temperature for {plan.keep.species[0]} by no more than {slow_change(plan)}"
            " (rule of thumb)."
        )
    return tuple(sentences)


def slow_change(plan: Plan) -> str:
    """How far the water temperature may change in a day, in the plan's units."""
    units = UNIT_SYSTEMS[plan.units]
    slow, fast = (units.difference(change_k, 0) for change_k in MAX_TEMPERATURE_CHANGE_K_PER_DAY)
    return f"{slow.removesuffix(units.unit('temperature')).strip()} to {fast} a day"


def where_heat_goes(assessment: Assessment) -> str:
    """The largest heat losses at the hour of peak heat demand."""
    season = assessment.season
    losses = {name: power for name, power in season.design_paths_w.items() if power > 0}
    total = sum(losses.values())
    ranked = sorted(losses, key=lambda name: -losses[name])[:4]
    parts = ", ".join(f"{name} {percent_text(losses[name] / total)}" for name in ranked)
    time = display_units(assessment).moment(season.design_at)
    return f"Largest heat losses at the hour of peak heat demand ({time}): {parts}." if parts else ""


def why_peak_differs(assessment: Assessment) -> str:
    """Why the power at the hour of peak heat demand exceeds the heater needed; empty where it does not."""
    units, heater, keep = display_units(assessment), assessment.heater, assessment.case.plan.keep
    if heater.needed_w == 0 or watts(assessment.season.design_w) == watts(heater.needed_w):
        return ""
    if assessment.season.design_w < heater.needed_w:
        return ""
    place = "room" if assessment.case.plan.heater.where == "room" else "water"
    needed, setting = f"{watts(heater.needed_w)} W", units.text("temperature", heater.setpoint_c)
    return (
        f"That is more than the {needed} needed at likely values: these heaters keep the {place} at the thermostat"
        f" setting of {setting}, while {needed} lets the water fall to the minimum of"
        f" {units.text('temperature', keep.floor_c)} in the coldest hours."
    )


def damp(assessment: Assessment) -> str:
    """Whether water condenses in the room, and whether mould may grow."""
    moisture, plan = assessment.damp, assessment.case.plan
    if not moisture.side:
        return "The room's air temperature is given in the plan, so damp on its walls is not worked out."
    named = season_winter(assessment)
    winter = f"{named}," if ", " in named else named
    if not moisture.condensation_hours and not moisture.mould_hours:
        stays_dry = f"In {winter} the {moisture.side} stays dry, and not humid enough for mould."
        return " ".join([stays_dry, *_other_damp_sentences(moisture)])
    text = (
        f"In {winter} water condenses on the {moisture.side} for {moisture.condensation_hours:,} h. There is a risk of"
        f" mould there for {moisture.mould_hours:,} h, when its inner surface is above 80 % humidity."
        f" Air changes: {air_changes_text(plan.room)}. Cover the water first: what does not evaporate cannot condense."
    )
    return " ".join([text, *_other_damp_sentences(moisture)])


def _other_damp_sentences(moisture: MoistureHours) -> list[str]:
    """Sentences on the other surfaces that run wet, and on fog; none where all stays dry and clear."""
    hours = {part.surface: part.condensation_hours for part in moisture.surfaces if part.condensation_hours}
    wet = [f"the {name} for {count:,} h" for name, count in hours.items()]
    sentences = [f"Water or frost also forms on {', '.join(wet)}."] if wet else []
    if moisture.fog_hours:
        sentences.append(f"The air around the water is saturated, with fog, for {moisture.fog_hours:,} h.")
    return sentences


def buy_list(full: FullAssessment) -> list[str]:
    """What to buy for this plan."""
    assessment, ranking = full.assessment, full.comparison.package_comparison.ranking
    heater, plan = assessment.heater, assessment.case.plan
    items = []
    if heater.buy_w:
        setting = display_units(assessment).text("temperature", heater.setpoint_c)
        items.append(f"Heaters: {heater_list(heater.buy_w)}, each with its own thermostat, set to {setting}.")
    elif heater.needed_w > 0:
        items.append(f"No new heater: the {heater_list(heater.installed_w)} you own is enough.")
    if heater.needed_w > 0:
        items.append(circuits_sentence(assessment))
        items.append("An RCD/GFCI for each heater circuit, an over-temperature cut-out, and guards for the heaters.")
    items.append("A thermometer with an alarm, a battery air pump, and a spare heater or lid in case one fails.")
    currency = plan.power.currency
    span = full.comparison.season.span
    for step in [rung for rung in ranking if rung.cost <= PAYS_WITHIN_WINTERS * rung.saves]:
        items.append(
            f"{step.measure}: costs {price_text(step.cost, currency)} and saves {price_text(step.saves, currency)}"
            f" {span}; the heater needed is then {watts(step.package.result.needed_w or 0.0)} W."
        )
    return items


def _sun_effect(assessment: Assessment) -> tuple[str, ...]:
    """What sun and sky do to the plan, if it was worked out."""
    effect = assessment.sun_effect
    return (sun_effect_sentence(effect, assessment.case.weather.sun_and_sky),) if effect else ()


def assumptions(assessment: Assessment) -> tuple[str, ...]:
    """Main assumptions of the analysis."""
    plan, climate = assessment.case.plan, assessment.case.climate
    sentences = [
        "Covers, bed fills, builds and air changes given by name are presets at their likely value.",
        *sun_and_sky_sentences(plan, assessment.case.weather.sun_and_sky),
        *_sun_effect(assessment),
        "Times are local standard time all winter.",
    ]
    if plan.room.temperature_c is None:
        sentences.append(f"Air changes: {air_changes_text(plan.room)}. Ground: {plan.room.floor.soil}.")
    if climate.assumed:
        humidity, wind = assumed_humidity_text(), assumed_wind_text(plan.units)
        sentences.append(f"A humidity of {humidity} and a wind of {wind} are assumed where the weather file has none.")
    return tuple(sentences)
