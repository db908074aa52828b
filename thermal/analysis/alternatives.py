"""Other ways to heat the same system: in the room, at other hours, under a hut, or by a heat pump."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.hut_around import HUT_BUILD, Way, hut_round, hut_size, with_hut
from thermal.analysis.way_prices import price_of_way
from thermal.analysis.winter_totals import complete_winters, median_and_worst, other_months, price_weights
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
HEAT_ROOM, HEAT_WATER, HEAT_PUMP = "heat the room", "heat the water", "air-source heat pump"
OTHER_HEATERS = (HEAT_ROOM, HEAT_WATER, HEAT_PUMP)  # the heaters owned do not serve


def alternative_settings(plan: Plan) -> list[Way]:
    """Alternatives that make sense for a plan: name, explanation, and the settings of the plan file to change."""
    settings: list[Way] = []
    given_air, in_room = plan.room.temperature_c is not None, plan.heater.where == "room"
    if in_room:
        settings.append((HEAT_WATER, "heaters in the tank", {"heater.where": "water"}))
    elif not given_air and plan.keep.cheap_c is None:
        settings.append((HEAT_ROOM, "a heater in the room's air instead of the tank", {"heater.where": "room"}))
    if plan.hut is not None:
        settings.append(("without the hut", "the system stands uncovered in the room", {"hut": None}))
    elif not given_air:
        hut = hut_round(plan)
        inside = f"a hut of {hut_size(plan, hut)} inside the room{', without the fan' if plan.fan else ''}"
        settings.append((f"{HUT_BUILD} round the system", inside, with_hut(plan, hut)))
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
    ways = zip(alternative_settings(plan), alternative_plans(plan), results, strict=True)
    return tuple(_alternative(changed, base, name, meaning, result) for (name, meaning, _), changed, result in ways)


def _alternative(plan: Plan, base: DesignResult, name: str, meaning: str, result: DesignResult) -> Alternative:
    """An alternative with its saving and its price, from the plan changed that way."""
    saves, price = base.cost - result.cost, price_of_way(plan, name, result.needed_w)
    return Alternative(
        name, meaning, result.needed_w, result.kwh, result.cost, saves, result.outage_h, result.mould_h, price,
        price / saves if price and saves > 0 else None,
    )  # fmt: skip


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
    [result] = with_heat_pump(case, [base])
    meaning = f"{base.kwh / result.kwh:.1f} kWh of heat for each kWh of electricity" if result.kwh else "no heat needed"
    return _alternative(case.plan, base, HEAT_PUMP, meaning, result)


def with_heat_pump(case: SimulationCase, designs: Sequence[DesignResult]) -> list[DesignResult]:
    """Designs whose heat comes from an air-source heat pump: energy and cost are those of its electricity.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    designs : sequence of DesignResult
        Results of the designs with heaters, their heat weighted by `heat_pump_weights`.
    """
    weather, power = case.weather, case.plan.power
    months = [weather.months(i) for i in range(len(weather.winters))]
    taken = [
        other_months(case.plan, winter.times()) if power.tiers else np.zeros(len(months[i]))
        for i, winter in enumerate(weather.winters)
    ]
    return [_with_heat_pump(case, design, months, taken) for design in designs]


def _with_heat_pump(
    case: SimulationCase, design: DesignResult, months: list[list[str]], taken: list[Array]
) -> DesignResult:
    """One of the designs `with_heat_pump`, from months and other electricity of each winter."""
    kwh, paid = ([np.array(by_month) for by_month in by_winter] for by_winter in design.weighted)
    costs = [tariff.month_costs(case.plan.power, *figures) for figures in zip(kwh, paid, taken, strict=True)]
    energy, total = np.array([by_month.sum() for by_month in kwh]), [float(by_month.sum()) for by_month in costs]
    complete, (_, worst) = complete_winters(case.weather), median_and_worst(case.weather, energy)
    median = months.index([month for month, _, _ in design.months])
    return replace(
        design,
        owned_holds=None if design.owned_holds is None else False,
        kwh=float(energy[median]),
        cost=total[median],
        worst_kwh=float(energy[worst]),
        worst_cost=total[worst],
        winter_kwh=tuple(float(energy[i]) for i in complete),
        winter_costs=tuple(total[i] for i in complete),
        months=tuple(zip(months[median], kwh[median].tolist(), costs[median].tolist(), strict=True)),
    )
