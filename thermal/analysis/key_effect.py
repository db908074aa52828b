"""What a key of a plan changes in its answer."""

from __future__ import annotations

from dataclasses import dataclass

from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.analysis.winter_totals import JOULES_PER_KWH


@dataclass(frozen=True)
class KeyEffect:
    """What a key changes, at the likely inputs: an opening in a cover, a pump that pauses, sun and sky.

    Attributes
    ----------
    heater_w : float
        Change of the heater needed [W].
    kwh : float
        Change of the heating of a typical winter [kWh].
    """

    heater_w: float
    kwh: float


def effect_over(without: tuple[float, float] | None, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """Heater and heating of a plan, less those of the plan without a key; None where no heater is enough there.

    Parameters
    ----------
    without : (float, float) or None
        From `needed_and_heating`: heater [W], and heating of the typical winter [J].
    heater : HeaterChoice
        The heater that the plan needs.
    energy : WinterEnergy
        Its energy.
    """
    if without is None:
        return None
    kwh = energy.winter_costs[energy.median].kwh - without[1] / JOULES_PER_KWH
    return KeyEffect(heater.needed_w - without[0], kwh)
