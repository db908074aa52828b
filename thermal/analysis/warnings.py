"""Warnings about a plan and its results: each has a code, and tells what happens, then what to do."""

from __future__ import annotations

from thermal.analysis.advice import ADVICE_RULES, AdviceInput
from thermal.analysis.case import SimulationCase
from thermal.analysis.cold_beds import cold_beds
from thermal.analysis.harms import HarmInput, harm_warnings
from thermal.analysis.odd_values import odd_values
from thermal.analysis.results import MoistureHours, PlanWarning
from thermal.climate.assumed_weather import assumed_humidity_text, assumed_wind_text
from thermal.core.display_units import UNIT_SYSTEMS, percent_text, watts_text
from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.plan.model import Plan
from thermal.plan.written_for import CHANGED, FIGURES_SINCE, is_older

ROUNDING = 1e-9  # of a share
UNCOVERED_SHARE = 0.1  # of the room's inner surface that the sides may lack without a warning


def plan_warnings(inputs: AdviceInput, damp: MoistureHours, steady_w: float | None) -> tuple[PlanWarning, ...]:
    """Every warning that applies: harm to people and animals first, common misconceptions last.

    Parameters
    ----------
    inputs : AdviceInput
        The parts of the answer that warnings depend on.
    damp : MoistureHours
        Condensation and mould in the typical winter.
    steady_w : float or None
        Heater needed with the pump always on [W]; None where the pump does not stop.
    """
    warnings = [
        *harm_warnings(HarmInput.of(inputs)),
        *version_warnings(inputs.case.plan),
        *_climate(inputs.case),
        *odd_values(inputs.case.plan),
        *_plan(inputs),
        *_species(inputs),
        *_heater(inputs),
        *_cold_beds(inputs, steady_w),
    ]
    if damp.mould_hours > 0:
        warnings.append(
            PlanWarning(
                "mould",
                f"Mould risk on the {damp.side}: the humidity at its inner surface is above 80 % for"
                f" {damp.mould_hours:,} h, and it is wet for {damp.condensation_hours:,} h, in"
                f" {inputs.case.season.phrase}. Cover the water, ventilate the room, or insulate the {damp.side}.",
            )
        )
    advice = {code: rule(inputs) for code, rule in ADVICE_RULES.items()}
    return (*warnings, *(PlanWarning(code, text, belief=True) for code, text in advice.items() if text))


def _cold_beds(inputs: AdviceInput, steady_w: float | None) -> list[PlanWarning]:
    """The warning that beds which cool while the pump is off raise the heater needed."""
    text = cold_beds(inputs, steady_w)
    return [PlanWarning("cold-beds", text)] if text else []


def version_warnings(plan: Plan) -> list[PlanWarning]:
    """A plan of an earlier version: its figures have changed, and why."""
    if not is_older(plan.written_for):
        return []
    version = f"version {plan.written_for}" if plan.written_for else f"a version before {FIGURES_SINCE}"
    text = (
        f"This plan was written for {version}. Its figures have changed: {CHANGED}. Write written_for ="
        f' "{FIGURES_SINCE}" at the top of the plan to remove this line.'
    )
    return [PlanWarning("older-plan", text)]


def _climate(case: SimulationCase) -> list[PlanWarning]:
    """Warnings about the weather file."""
    climate, weather = case.climate, case.weather
    warnings = []
    partial = [winter.label for winter in weather.winters if not winter.complete]
    if partial:
        all_partial = len(partial) == len(weather.winters)
        warnings.append(PlanWarning("incomplete-winter", _incomplete_winters(partial, all_partial)))
    if weather.joined_year is not None:
        year = weather.joined_year
        text = (
            f"The weather file has only the year {year}. Its halves are put together to one winter, October to December"
            f" before January to April; no such winter occurred. Use a file that covers a whole winter."
        )
        warnings.append(PlanWarning("joined-winter", text))
    warnings += [PlanWarning("refused-winter", f"{reason[:1].upper()}{reason[1:]}.") for reason in weather.refused]
    if climate.header.kind == "typical year":
        warnings.append(
            PlanWarning(
                "typical-year",
                "The weather file is a typical year, which leaves out rare cold spells that kill fish."
                f"{_sized_for(case)} Set coldest_night to the record low of your place.",
            )
        )
    if climate.assumed:
        humidity, wind = assumed_humidity_text(), assumed_wind_text(case.plan.units)
        assumed = {"rh_pct": f"humidity ({humidity} is assumed)", "wind_m_s": f"wind ({wind} is assumed)"}
        warnings.append(
            PlanWarning(
                "assumed-weather",
                f"The weather file has no {' and no '.join(assumed[column] for column in climate.assumed)}. Use a file"
                f" with {'both' if len(climate.assumed) > 1 else 'it'} where you can.",
            )
        )
    if not weather.harmonic.fitted and case.plan.room.temperature_c is None:
        warnings.append(PlanWarning("short-series", _short_series(case)))
    return warnings


def _short_series(case: SimulationCase) -> str:
    """What is assumed of the ground where the weather file has less than most of a year, and how to state it."""
    units, wave = UNIT_SYSTEMS[case.plan.units], case.weather.harmonic
    range_k = uncertain_inputs()["ground: yearly mean outdoors"].spread[2]
    half = "July" if case.climate.south else "January"
    mean_c = units.text("temperature", wave.mean_c)
    return (
        f"The weather file is too short to tell the yearly mean outdoors, which the ground follows: {mean_c} is"
        f" assumed, as if {half} were {units.difference(wave.amplitude_k, 0)} below it"
        f" (±{units.difference(range_k, 0)} in the samples). If you know the mean of your place, write it under"
        f' [climate], for example annual_mean = "{mean_c.replace("°", "deg")}".'
    )


def _sized_for(case: SimulationCase) -> str:
    """The cold spell added to a typical year; empty where there is none."""
    if case.rare_cold is None:
        return ""
    low = UNIT_SYSTEMS[case.plan.units].text("temperature", case.rare_cold.outdoor_c)
    return f" The heater is sized for an estimated one of {low}; the rest of the answer is not."


def _incomplete_winters(labels: list[str], all_of_them: bool) -> str:
    """The sentences about winters that the weather file covers only in part."""
    listed = " and ".join(filter(None, (", ".join(labels[:-1]), labels[-1])))
    if all_of_them:
        return (
            f"The weather file has no complete winter, only part of {listed}: no energy or cost of a winter is"
            " given. Use a file that covers a whole winter."
        )
    subject = f"Winters {listed} are" if len(labels) > 1 else f"Winter {listed} is"
    return f"{subject} incomplete in the weather file: used for heater sizing, not for energy and cost."


def _plan(inputs: AdviceInput) -> list[PlanWarning]:
    """Warnings about the room's sides."""
    room = inputs.case.plan.room
    if room.temperature_c is not None:
        return []
    inner = room.perimeter_m * room.height_m + room.floor_m2
    covered = sum(side.area_m2 for side in room.sides)
    if covered < (1 - UNCOVERED_SHARE) * inner:
        given, whole = (inputs.units.text("area", area, 0) for area in (covered, inner))
        return [
            PlanWarning(
                "open-envelope",
                f"The room's sides add up to {given}, but its walls and ceiling are {whole}: the missing area is"
                " treated as losing no heat, so results are too optimistic. Add the missing sides.",
            )
        ]
    return []


def _species(inputs: AdviceInput) -> list[PlanWarning]:
    """Warnings about water too cold or too warm for the species kept."""
    keep, warnings = inputs.case.plan.keep, []
    coldest_c = float(inputs.shown.coldest_c[0].min())
    deadly = [species for species in keep.limits if coldest_c < species.low_c]
    if deadly:
        warnings.append(
            PlanWarning(
                "lethal-unheated",
                f"Without a heater the water falls to {inputs.degrees(coldest_c)}; {deadly[0].name} dies at about"
                f" {inputs.degrees(deadly[0].low_c)}. Keep a spare heater, and fit a low-temperature alarm.",
            )
        )
    cold = [species.name for species in keep.limits if keep.floor_c < species.working_c]
    if cold:
        warnings.append(
            PlanWarning(
                "floor-below-species",
                f"The minimum water temperature of {inputs.degrees(keep.floor_c)} is too cold for {', '.join(cold)} to"
                " feed or grow. Raise it, or keep other species.",
            )
        )
    warmest_c = inputs.heater.warmest_c
    if warmest_c > keep.upper_c:
        warnings.append(
            PlanWarning(
                "too-warm",
                f"The water warms to {inputs.degrees(warmest_c)}, above the limit of"
                f" {inputs.degrees(keep.upper_c)}. Move lights and other heat sources, or ventilate on mild days.",
            )
        )
    return warnings


def _heater(inputs: AdviceInput) -> list[PlanWarning]:
    """Warnings about the heaters."""
    keep, heater, warnings = inputs.case.plan.keep, inputs.heater, []
    if heater.hours_below > 0:
        coldest = inputs.units.below(heater.coldest_c, keep.floor_c)
        warnings.append(
            PlanWarning(
                "heater-too-small",
                f"With the heaters you own the water falls to {coldest} and is below"
                f" the minimum of {inputs.degrees(keep.floor_c)} for {heater.hours_below:,.0f} h over all winters."
                f" At least {watts_text(heater.needed_w)} is needed.",
            )
        )
    reserve, owned_w = heater.reserve, sum(heater.installed_w)
    if heater.hours_below == 0 and reserve is not None and owned_w < heater.buy_for_w * (1.0 - ROUNDING):
        warnings.append(
            PlanWarning(
                "high-duty",
                f"Your heaters of {owned_w:,.0f} W are only {percent_text(max(0.0, reserve))} above the"
                f" {watts_text(heater.needed_w)} needed at likely values. To be enough in 9 of 10 samples they should"
                f" have {watts_text(heater.buy_for_w)}. Add a heater.",
            )
        )
    if heater.installed_w and heater.one_failed_c < keep.floor_c:
        warnings.append(
            PlanWarning(
                "one-failed",
                f"If one heater fails, the water falls to {inputs.falls_to(heater.one_failed_c)}. Keep a spare, and fit"
                " a low-temperature alarm.",
            )
        )
    return warnings
