"""Other ways to heat the same system: in the room, at other hours, under a hut, or by a heat pump."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.hut_around import HUT_BUILD, Way, hut_round, hut_size
from thermal.analysis.winter_totals import other_months, price_weights
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.schedule import ALWAYS
from thermal.data.snug_lid import SNUG_LID
from thermal.physics.heat_pump import heat_pump_cop
from thermal.plan import tariff
from thermal.plan.model import Plan
from thermal.plan.reader import variant

NIGHT_TOP = SNUG_LID
CHEAP_ABOVE_K = 3.0  # thermostat in the cheap hours above the normal one
PUMP_OFF, PUMP_BY_DAY = "pump off at night", "06:00-22:00"


def alternative_settings(plan: Plan) -> list[Way]:
    """Alternatives that make sense for a plan: name, explanation, and the settings of the plan file to change."""
    settings: list[Way] = []
    given_air, in_room = plan.room.temperature_c is not None, plan.heater.where == "room"
    if in_room:
        settings.append(("heat the water", "heaters in the tank", {"heater.where": "water"}))
    elif not given_air and plan.keep.cheap_c is None:
        settings.append(("heat the room", "a heater in the room's air instead of the tank", {"heater.where": "room"}))
    if plan.hut is not None:
        settings.append(("without the hut", "the system stands uncovered in the room", {"hut": None}))
    elif not given_air:
        hut = hut_round(plan)
        settings.append(
            (f"{HUT_BUILD} round the system", f"a hut of {hut_size(plan, hut)} inside the room", {"hut": hut})
        )
    if any(
        vessel.top in ("open", "bubbling") and vessel.night_evaporation == vessel.evaporation for vessel in plan.tanks
    ):
        settings.append(("lid at night only", f"{NIGHT_TOP} on the tank 20:00-8:00", {"tank.night_top": NIGHT_TOP}))
    if plan.beds and plan.pump.flow_m3_s > 0 and plan.pump.hours == ALWAYS:
        settings.append((PUMP_OFF, f"it runs {PUMP_BY_DAY}; check oxygen", {"pump.hours": PUMP_BY_DAY}))
    if plan.power.periods and plan.keep.cheap_c is None and not in_room:
        warmer = plan.keep.thermostat_c + CHEAP_ABOVE_K
        warmer_by = UNIT_SYSTEMS[plan.units].difference(CHEAP_ABOVE_K)
        meaning = f"thermostat {warmer_by} higher while electricity is cheap"
        settings.append(("heat in cheap hours", meaning, {"keep.cheap_hours": f"{warmer:g} degC"}))
    return settings


def alternative_plans(plan: Plan) -> list[Plan]:
    """The plan changed to each of its `alternative_settings`, in order."""
    return [variant(plan, settings) for _, _, settings in alternative_settings(plan)]


def alternatives(plan: Plan, base: DesignResult, results: Sequence[DesignResult]) -> tuple[Alternative, ...]:
    """Energy, cost and saving of each alternative.

    Parameters
    ----------
    plan : Plan
        The plan as written.
    base : DesignResult
        Its result.
    results : sequence of DesignResult
        Results of `alternative_plans`, in order.

    Returns
    -------
    tuple of Alternative
        In the order of `alternative_settings`.
    """
    return tuple(
        Alternative(
            name,
            meaning,
            result.needed_w,
            result.kwh,
            result.cost,
            base.cost - result.cost,
            result.outage_h,
            result.mould_h,
        )
        for (name, meaning, _), result in zip(alternative_settings(plan), results, strict=True)
    )


def heat_pump_weights(case: SimulationCase) -> Array:
    """Weights that turn each hour's heat into a heat pump's electricity and into its cost.

    Returns
    -------
    Array, shape (2, hour, winter)
        Electricity per heat [-], and price per heat [currency/kWh].
    """
    cop = heat_pump_cop(case.forcing.outdoor_c, *data.heat_pump())
    return np.stack([1.0 / cop, price_weights(case) / cop])


def heat_pump(case: SimulationCase, base: DesignResult) -> Alternative:
    """The alternative of an air-source heat pump that gives the plan's own heat hour by hour.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    base : DesignResult
        Result of the plan as written, with its heat weighted by `heat_pump_weights`.

    Returns
    -------
    Alternative
        Its electricity and cost in the typical winter; the heat is that of `base`.
    """
    kwh, paid = (np.array(by_month) for by_month in base.weighted)
    months = [case.weather.months(i) for i in range(len(case.weather.winters))]
    times = case.weather.winters[months.index([month for month, _, _ in base.months])].times()
    cost = float(tariff.month_costs(case.plan.power, kwh, paid, other_months(case.plan, times)).sum())
    share = base.kwh / kwh.sum() if kwh.sum() else np.inf
    meaning = f"{share:.1f} kWh of heat for each kWh of electricity" if kwh.sum() else "no heat needed"
    return Alternative(
        "air-source heat pump", meaning, base.needed_w, float(kwh.sum()), cost, base.cost - cost, base.outage_h,
        base.mould_h,
    )  # fmt: skip
