"""What barrels of water in the room change, and whether they freeze: the plan simulated once without them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import INSTALLED, UNHEATED, SimulationCase, case_in, hours_of
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.key_effect import effect_over
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.network.barrels import barrel_m3
from thermal.solver.results import SimulationResult


@dataclass(frozen=True)
class BarrelEffect:
    """What barrels change, at the likely inputs.

    Attributes
    ----------
    count : int
        How many there are.
    water_m3 : float
        Water in all of them [m3].
    heater_w, heater_without_w : float
        Heater needed with them [W], and without; both None where no heater would do without them.
    kwh : float
        Change of the heating of a typical winter [kWh]; None likewise.
    coldest_c, coldest_without_c : float
        Coldest tank of all winters without a heater, with the barrels and without [degC].
    coldest_air_c, coldest_air_without_c : float
        Coldest air of the room in all winters without a heater, with the barrels and without [degC].
    hours_ice : float
        Hours with ice in the barrels, in the winter that has most, with the installed heaters [h].
    frozen_share : float
        Most of their water that is ice at once, in all winters [-].
    """

    count: int
    water_m3: float
    heater_w: float | None
    heater_without_w: float | None
    kwh: float | None
    coldest_c: float
    coldest_without_c: float
    coldest_air_c: float
    coldest_air_without_c: float
    hours_ice: float
    frozen_share: float


def barrel_effect(
    case: SimulationCase, shown: SimulationResult, heater: HeaterChoice, energy: WinterEnergy
) -> BarrelEffect | None:
    """What the barrels of a plan change in its answer; None where it has none.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, unheated and with the installed heaters, hour by hour.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    """
    if not case.plan.barrels:
        return None
    plan = replace(case.plan, barrels=())
    without = case_in(plan, case.climate, case.weather)
    bare = without.simulate(without.heaters(np.zeros(1)), hourly_output=True)
    needed = needed_and_heating(plan, case.weather, case.design, sum(heater.installed_w), energy.median)
    effect = effect_over(needed, heater, energy)
    hours_ice, frozen_share = _ice(case, shown)
    return BarrelEffect(
        count=sum(barrel.count for barrel in case.plan.barrels),
        water_m3=barrel_m3(case.plan),
        heater_w=heater.needed_w if effect else None,
        heater_without_w=heater.needed_w - effect.heater_w if effect else None,
        kwh=effect.kwh if effect else None,
        coldest_c=float(shown.coldest_c[UNHEATED].min()),
        coldest_without_c=float(bare.coldest_c.min()),
        coldest_air_c=_coldest_air(case, shown),
        coldest_air_without_c=_coldest_air(without, bare),
        hours_ice=hours_ice,
        frozen_share=frozen_share,
    )


def _coldest_air(case: SimulationCase, run: SimulationResult) -> float:
    """Coldest air of the room in all winters without a heater. [degC]"""
    air, winters = case.network.nodes.index("air"), range(len(case.weather.winters))
    return min(float(hours_of(case, run, winter, UNHEATED).mean(air).min()) for winter in winters)


def _ice(case: SimulationCase, run: SimulationResult) -> tuple[float, float]:
    """Hours with ice in the winter that has most [h], and the largest share of the water that is ice [-]."""
    assert case.network.vessels is not None
    most_j, winters = case.network.vessels.ice_limit_j[0, 0], range(len(case.weather.winters))
    ice = [hours_of(case, run, winter, INSTALLED) for winter in winters]
    ice_j = [hours.hourly_output.ice_j[:, 0, hours.column] for hours in ice]
    return max(float((each > 0.0).sum()) for each in ice_j), max(float(each.max()) for each in ice_j) / most_j
