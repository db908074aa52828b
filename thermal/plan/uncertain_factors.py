"""Factors on heat loss and heat capacity that a grower cannot know, sampled in every plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.plan.model import Factors

if TYPE_CHECKING:
    from thermal.plan.presets import Sampler
    from thermal.plan.schema import PlanTable


def uncertain_factors(entry: PlanTable, sampler: Sampler) -> Factors:
    """The factors of one sample; all are 1 at their likely values.

    Parameters
    ----------
    entry : PlanTable
        The checked tables.
    sampler : callable
        Returns the value of each input from its name and range, as in `resolve_plan`.
    """

    def factor(name: str) -> float:
        return sampler(name, uncertain_inputs()[name].spread)

    vessels = factor("heat loss of the water")
    if entry.room.temperature is not None:
        return Factors(vessels=vessels)
    return Factors(
        vessels=vessels,
        room=factor("heat loss of the room"),
        mass=factor("heat capacity of the room"),
    )
