"""What it does to the water that the house, or a heated room, is cooler at night: the plan simulated once without."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import UNHEATED, SimulationCase, case_in, hours_of
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.key_effect import effect_over
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.solver.results import SimulationResult


@dataclass(frozen=True)
class NightSetback:
    """What cooler nights change, at the likely inputs.

    Attributes
    ----------
    of : str
        What is cooler: "room" or "house".
    by_day_c, at_night_c : float
        Its temperature by day and at night [degC].
    coldest_c, coldest_without_c : float
        Coldest tank of all winters without a heater, with the cooler nights and without [degC].
    daily_range_k, daily_range_without_k : float
        Warmest less coldest tank of a day without a heater, in the median day of the typical winter [K].
    heater_w : float
        Change of the heater needed [W]; None where no heater would do without the cooler nights.
    kwh : float
        Change of the heating of a typical winter [kWh]; None likewise.
    """

    of: str
    by_day_c: float
    at_night_c: float
    coldest_c: float
    coldest_without_c: float
    daily_range_k: float
    daily_range_without_k: float
    heater_w: float | None
    kwh: float | None


def night_setback(
    case: SimulationCase, shown: SimulationResult, heater: HeaterChoice, energy: WinterEnergy
) -> NightSetback | None:
    """What cooler nights of the house, or of a heated room, change in the answer to a plan.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, the unheated design first, hour by hour.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.

    Returns
    -------
    NightSetback or None
        None where neither is cooler at night.
    """
    room = case.plan.room
    if not room.cools_at_night:
        return None
    plan = replace(case.plan, room=replace(room, night_c=None, house_night_c=None))
    warm = case_in(plan, case.climate, case.weather)
    bare = warm.simulate(warm.heaters(np.zeros(1)), hourly_output=True)
    without = needed_and_heating(plan, case.weather, case.design, sum(heater.installed_w), energy.median)
    effect = effect_over(without, heater, energy)
    of_room = room.night_c is not None
    by_day = room.temperature_c if of_room else room.house_c
    at_night = room.night_c if of_room else room.house_night_c
    assert by_day is not None
    assert at_night is not None
    return NightSetback(
        of="room" if of_room else "house",
        by_day_c=by_day,
        at_night_c=at_night,
        coldest_c=float(shown.coldest_c[UNHEATED].min()),
        coldest_without_c=float(bare.coldest_c.min()),
        daily_range_k=_daily_range(case, shown, energy.median),
        daily_range_without_k=_daily_range(warm, bare, energy.median),
        heater_w=effect.heater_w if effect else None,
        kwh=effect.kwh if effect else None,
    )


def _daily_range(case: SimulationCase, run: SimulationResult, winter: int) -> float:
    """Warmest less coldest tank of the median day of a winter without a heater. [K]"""
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    tank = hours_of(case, run, winter, UNHEATED).end(water_nodes[-1], water_nodes)
    days = tank[: len(tank) // 24 * 24].reshape(-1, 24)
    return float(np.median(np.ptp(days, axis=1)))
