"""Sentences on what an answer counts of sun and sky, and where it comes from."""

from __future__ import annotations

from thermal.analysis.key_effect import KeyEffect
from thermal.climate.forcing import SunAndSky
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.physics.sky_temperature import CLEAR_SKY_BELOW_AIR_K, SKY_BELOW_AIR_K
from thermal.plan.model import Plan

SKY_WORDS = {
    "infrared": "from the longwave radiation in the weather file",
    "dew point and cloud": "from the humidity and cloud cover in the weather file",
    "dew point and sun": "from the humidity in the weather file, with cloud from the sun of each day",
}


def sun_and_sky_sentences(plan: Plan, outdoors: SunAndSky) -> tuple[str, ...]:
    """What is counted of sun and sky, and where it comes from.

    Parameters
    ----------
    plan : Plan
        The plan.
    outdoors : SunAndSky
        What the weather file tells of them.

    Returns
    -------
    tuple of str
        None where the plan gives the room's air temperature, which sun and sky do not change.
    """
    if plan.room.temperature_c is not None:
        return ()
    sentences = [_sun(plan, outdoors), _sky(plan, outdoors)]
    if outdoors.sun and any(side.facing == "unknown" and side.faces == "outdoors" for side in plan.room.sides):
        sentences.append(
            "Sides whose facing the plan does not state have the mean sun of a north, an east, a south and a west wall."
        )
    return tuple(sentences)


def sun_effect_sentence(effect: KeyEffect, outdoors: SunAndSky) -> str:
    """What sun and sky do to a plan.

    Parameters
    ----------
    effect : KeyEffect
        What they change.
    outdoors : SunAndSky
        Which of them are counted.
    """
    alone = "The sun" if outdoors.sun else "The heat radiated to the sky"
    cause, verb = ("Sun and sky together", "change") if outdoors.sun and outdoors.sky else (alone, "changes")
    return (
        f"{cause} {verb} the heater needed by {effect.heater_w:+,.0f} W and the heating of a typical winter by"
        f" {effect.kwh:+,.0f} kWh, at the likely inputs."
    )


def _sun(plan: Plan, outdoors: SunAndSky) -> str:
    if not plan.climate.sun:
        return "The sun is left out, as the plan says."
    if outdoors.sun == "measured":
        stamps = f" ({outdoors.note})" if outdoors.note else ""
        return f"The sun on walls and roof and through windows is that of the weather file{stamps}."
    if outdoors.sun == "cloud":
        return "The sun on walls and roof and through windows is worked out from the cloud cover in the weather file."
    if outdoors.note:
        return f"{outdoors.note[0].upper()}{outdoors.note[1:]}."
    return "This weather file has no sun, so none is counted."


def _sky(plan: Plan, outdoors: SunAndSky) -> str:
    if not plan.climate.sky:
        return "The heat that outer surfaces radiate to the sky is left out, as the plan says."
    if outdoors.sky in SKY_WORDS:
        return f"The heat that outer surfaces radiate to the sky is worked out {SKY_WORDS[outdoors.sky]}."
    units = UNIT_SYSTEMS[plan.units]
    usual, clear = (units.difference(below, 0) for below in (SKY_BELOW_AIR_K, CLEAR_SKY_BELOW_AIR_K))
    return (
        f"Outer surfaces radiate heat to a sky {usual} colder than the air, and {clear} colder in the coldest three"
        " days, when it is taken as clear."
    )
