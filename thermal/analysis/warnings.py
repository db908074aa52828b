"""What a plan or its answer should make the reader stop at, each with a code."""

from __future__ import annotations

from thermal import data
from thermal.analysis.advice import ADVICE_RULES, AdviceInput
from thermal.analysis.case import SimulationCase
from thermal.analysis.results import MoistureHours, PlanWarning

HIGH_DUTY = 0.8
UNCOVERED_SHARE = 0.1  # of the room's inner surface that the sides may leave out before it is said


def plan_warnings(inputs: AdviceInput, damp: MoistureHours, circuit_fits: bool | None) -> tuple[PlanWarning, ...]:
    """Every warning that applies, climate first, common beliefs last."""
    warnings = [
        *_climate(inputs.case),
        *_plan(inputs),
        *_species(inputs),
        *_heater(inputs, circuit_fits),
    ]
    if damp.mould_hours > 0:
        warnings.append(
            PlanWarning(
                "mould",
                f"The {damp.side} stays above 80 % surface humidity for {damp.mould_hours:,} h of the winter and runs"
                f" wet for {damp.condensation_hours:,} h: air the room, cover the water, or insulate that side.",
            )
        )
    sentences = {code: belief(inputs) for code, belief in ADVICE_RULES.items()}
    warnings += [PlanWarning(code, text, belief=True) for code, text in sentences.items() if text]
    return tuple(warnings)


def _climate(case: SimulationCase) -> list[PlanWarning]:
    climate, weather = case.climate, case.weather
    warnings = []
    partial = [winter.label for winter in weather.winters if not winter.complete]
    if partial:
        warnings.append(
            PlanWarning(
                "incomplete-winter",
                f"The series covers winter {', '.join(partial)} only in part: the heater is sized on its hours too,"
                " medians leave it out.",
            )
        )
    warnings += [PlanWarning("refused-winter", item) for item in weather.refused]
    if climate.header.kind == "typical year":
        warnings.append(
            PlanWarning(
                "typical-year",
                "A typical year leaves out the rare cold spell that kills fish; try coldest_night = your record low.",
            )
        )
    if climate.assumed:
        sentences = {"rh_pct": "humidity (75 % assumed)", "wind_m_s": "wind (3 m/s assumed)"}
        warnings.append(
            PlanWarning(
                "assumed-weather",
                "The series has no " + " and no ".join(sentences[column] for column in climate.assumed) + ".",
            )
        )
    if not weather.harmonic.fitted:
        warnings.append(
            PlanWarning("short-series", "The series is too short for the ground's yearly swing; it is guessed.")
        )
    return warnings


def _plan(inputs: AdviceInput) -> list[PlanWarning]:
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
                f"The sides add up to {given} of the {whole} of walls and ceiling; the rest is taken to pass no heat,"
                " so the answer is too warm.",
            )
        ]
    return []


def _species(inputs: AdviceInput) -> list[PlanWarning]:
    """Whether the animals and plants named would live, and work."""
    keep, warnings = inputs.case.plan.keep, []
    coldest_c = float(inputs.shown.coldest_c[0].min())
    lethal = [data.species()[name.lower()] for name in keep.species]
    deadly = [item for item in lethal if coldest_c < item.low_c]
    if deadly:
        warnings.append(
            PlanWarning(
                "lethal-unheated",
                f"Without heat the water falls to {inputs.degrees(coldest_c)}; {deadly[0].name} dies at about"
                f" {inputs.degrees(deadly[0].low_c)}.",
            )
        )
    cold = [item.name for item in lethal if keep.floor_c < item.working_c]
    if cold:
        warnings.append(
            PlanWarning(
                "floor-below-species",
                f"The floor of {inputs.degrees(keep.floor_c)} is colder than {', '.join(cold)} can work in.",
            )
        )
    warmest_c = inputs.heater.warmest_c
    if warmest_c > keep.upper_c:
        warnings.append(
            PlanWarning(
                "too-warm",
                f"The water gets as warm as {inputs.degrees(warmest_c)}, above the"
                f" {inputs.degrees(keep.upper_c)} it should stay under: give lights and"
                " whatever else warms it another place, or air the room on mild days.",
            )
        )
    return warnings


def _heater(inputs: AdviceInput, circuit_fits: bool | None) -> list[PlanWarning]:
    keep, heater, warnings = inputs.case.plan.keep, inputs.heater, []
    if heater.hours_below > 0:
        warnings.append(
            PlanWarning(
                "heater-too-small",
                f"The heater you own lets the water fall to {inputs.degrees(heater.coldest_c)}, below the floor of"
                f" {inputs.degrees(keep.floor_c)}, for {heater.hours_below:,.0f} h.",
            )
        )
    if heater.installed_w and heater.peak_duty > HIGH_DUTY:
        warnings.append(
            PlanWarning(
                "high-duty",
                f"The heaters run {heater.peak_duty:.0%} of the coldest hour: little is left in reserve.",
            )
        )
    if heater.installed_w and heater.one_failed_c < keep.floor_c:
        warnings.append(
            PlanWarning(
                "one-failed",
                f"With one heater failed the water falls to {inputs.degrees(heater.one_failed_c)}: keep a spare and an"
                " alarm.",
            )
        )
    if heater.installed_w and heater.stuck_on_c > keep.upper_c:
        warnings.append(
            PlanWarning(
                "stuck-on",
                f"A heater stuck on takes the water to {inputs.degrees(heater.stuck_on_c)}, above"
                f" {inputs.degrees(keep.upper_c)}: fit an independent over-temperature cut-out, or smaller units.",
            )
        )
    if circuit_fits is False:
        warnings.append(
            PlanWarning("circuit", "Heaters, pump and lights together exceed 80 % of the circuit: use a second one.")
        )
    return warnings
