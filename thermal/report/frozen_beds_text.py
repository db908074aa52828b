"""The sentence on beds to which no water flows."""

from __future__ import annotations

from thermal.analysis.frozen_beds import FrozenBeds
from thermal.core.display_units import UNIT_SYSTEMS


def frozen_beds_sentence(beds: FrozenBeds, system: str) -> str:
    """For how long the water of beds without flow is frozen.

    Parameters
    ----------
    beds : FrozenBeds
        The beds.
    system : str
        Units of the answer: metric, us or imperial.
    """
    if beds.first is None:
        return "Beds without flow: no ice forms in their water in any winter."
    return (
        f"Beds without flow: there is ice in their water for {beds.hours_frozen:,} h of winter {beds.winter}, first on"
        f" {UNIT_SYSTEMS[system].day(beds.first)}. Drain them before that day, or let the pump run."
    )
