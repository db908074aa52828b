"""Sentences that answer what a plan asks beside its usual answers: each stands only where the plan uses its keys."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.heat_balance import HUT_AIR_FROM_HOUSE
from thermal.report.barrel_text import barrel_sentence
from thermal.report.drying_text import drying_sentence
from thermal.report.feeding_text import feeding_sentence
from thermal.report.frozen_beds_text import frozen_beds_sentence
from thermal.report.frozen_pipes_text import frozen_pipe_sentence
from thermal.report.night_setback_text import night_setback_sentence
from thermal.report.stuck_on_text import stuck_on_sentence
from thermal.report.warm_up_text import warm_up_left_out, warm_up_sentence


def question_sentences(assessment: Assessment, about_heaters: bool = False) -> tuple[str, ...]:
    """The answers to what the plan's own keys ask; none where it uses none of them.

    Parameters
    ----------
    assessment : Assessment
        The assessment of the plan.
    about_heaters : bool
        Whether they stand in the answer about heaters, which says the warm-up in any case.
    """
    units = assessment.case.plan.units
    sentences = []
    if assessment.night_setback:
        sentences.append(night_setback_sentence(assessment.night_setback, units))
    effects = (
        ("The opening in the cover changes", assessment.opening),
        ("The pauses of the pump change", assessment.pump_duty),
        (f"{_facing_words(assessment)} change", assessment.facing_sides),
        (_hut_air_words(assessment), assessment.hut_air),
        ("Sinking tanks or beds into the floor, over standing on it, changes", assessment.buried),
    )
    for cause, effect in effects:
        if effect:
            sentences.append(
                f"{cause} the heater needed by {effect.heater_w:+,.0f} W and the heating of a typical winter by"
                f" {effect.kwh:+,.0f} kWh, at the likely inputs."
            )
    if house_kwh := -sum(month.room_paths_kwh.get(HUT_AIR_FROM_HOUSE, 0.0) for month in assessment.season.months):
        sentences.append(
            f"The air that the hut takes from the house brings {house_kwh:,.0f} kWh of the house's heat in a typical"
            " winter, which no cost here includes."
        )
    if assessment.barrels:
        sentences.append(barrel_sentence(assessment.barrels, units))
    if assessment.drying:
        sentences.append(drying_sentence(assessment.drying, assessment.case.plan))
    if sentence := stuck_on_sentence(assessment.case.plan, assessment.heater):
        sentences.append(sentence)
    if assessment.warm_up and (about_heaters or assessment.case.plan.start_c is not None):
        sentences.append(warm_up_sentence(assessment.warm_up, units))
    if about_heaters or assessment.case.plan.start_c is not None:
        sentences += warm_up_left_out(assessment.case.plan)
    if assessment.feeding and (sentence := feeding_sentence(assessment.feeding, units)):
        sentences.append(sentence)
    sentences += [frozen_pipe_sentence(pipe, units) for pipe in assessment.frozen_pipes]
    if assessment.frozen_beds:
        sentences.append(frozen_beds_sentence(assessment.frozen_beds, units))
    return tuple(sentences)


def _hut_air_words(assessment: Assessment) -> str:
    """Where the air of the hut comes from."""
    hut = assessment.case.plan.hut
    place = "the house" if hut is not None and hut.air_from == "house" else "outdoors"
    return f"The hut's air from {place}, in place of the room, changes"


def _facing_words(assessment: Assessment) -> str:
    """The sides of tanks and beds that face something else than the room."""
    plan = assessment.case.plan
    faces = {wall.faces for vessel in plan.tanks + plan.beds for wall in vessel.elsewhere} - {"ground"}
    beyond = " or ".join(sorted({"house": "the house", "outdoors": "outdoors"}[face] for face in faces))
    return f"The sides of tanks and beds that face {beyond}"
