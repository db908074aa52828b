"""Words about a plan that warnings and advice share."""

from __future__ import annotations

from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.plan.structure import Room

FREEZING_C = 0.001  # water of 0 degC holds ice; it is shown with one decimal
MAX_TEMPERATURE_CHANGE_K_PER_DAY = 1.0, 3.0  # range that animals tolerate; the upper one as in `harms`


def names_of(plan: Plan) -> str:
    """Names of gains and measures, in lower case."""
    return " ; ".join(
        [f"{load.name} {load.vapour}" for load in plan.loads] + [measure.name for measure in plan.measures]
    ).lower()


def air_changes_text(room: Room) -> str:
    """Air changes of a room as text; through cracks they follow wind and cold."""
    if not room.leakage_area_cm2:
        return f"{room.air_changes_per_h:g} an hour"
    named = f" ({room.leakiness})" if not room.leakiness.replace(".", "").isdigit() else ""
    return f"about {room.mean_air_changes_per_h:.2g} an hour on average{named}, more in wind and frost"


def falls_to(plan: Plan, celsius: float) -> str:
    """How far water cools [degC] as text: to a temperature, to "just below" the minimum, or until it freezes."""
    units = UNIT_SYSTEMS[plan.units]
    if celsius <= FREEZING_C:
        return f"{units.text('temperature', 0.0)} and freezes"
    return units.below(celsius, plan.keep.floor_c)
