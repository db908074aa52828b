"""What one key of a plan does: the plan simulated once without it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from thermal.analysis.case import SimulationCase
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.analysis.winter_totals import JOULES_PER_KWH
from thermal.plan.model import Plan


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


def opening_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the openings in the covers change; None where the covers cover all of the water.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    """
    plan = case.plan
    if all(vessel.opening is None for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(replace(vessel, opening=None) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return _effect(case, replace(plan, tanks=tanks, beds=beds), heater, energy)


def duty_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the pauses of the pump change, its own heat with them; None where it runs without pause.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    """
    pump = case.plan.pump
    if pump.duty is None:
        return None
    hours = tuple(share / pump.run_share for share in pump.hours)
    return _effect(case, replace(case.plan, pump=replace(pump, hours=hours, duty=None)), heater, energy)


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


def _effect(case: SimulationCase, without: Plan, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the plan of a case has over another plan in the same weather."""
    needed = needed_and_heating(without, case.weather, case.design, sum(heater.installed_w), energy.median)
    return effect_over(needed, heater, energy)
