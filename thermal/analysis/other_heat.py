"""Other sources of heat as other ways to heat: each with the heater still needed, and its share of a winter's heat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.collector_weather import with_collector_heat, with_sun_on_collector
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.design_results import design_results
from thermal.analysis.heat_brought import HeatBrought, StoveHeat
from thermal.analysis.heater_sizing import ROUNDING_K, UNLIMITED_W
from thermal.analysis.lighter_case import in_winters
from thermal.analysis.stove_size import hours_after, least_stove
from thermal.analysis.way_surprises import RAISED_MOULD, RAISED_MOULD_H
from thermal.climate.cold_spells import coldest_winters
from thermal.climate.forcing import OTHER_HEAT
from thermal.core.arrays import Array
from thermal.network.tried_heat import house_air_conductance, house_air_kg_s, house_c
from thermal.physics.infiltration import air_change_conductance
from thermal.plan.model import Plan
from thermal.plan.other_heat import (
    COLLECTOR_SOURCE,
    Collector,
    Compost,
    HouseAir,
    Stove,
    TriedHeat,
    compost_source,
    house_air_source,
    stove_source,
)
from thermal.solver.results import OutputRequest

COMPOST, HOUSE_AIR, STOVE = "compost heap", "air from the house", "stove"
COLLECTOR = "sun collector"


def other_heat_ways(case: SimulationCase) -> tuple[Alternative, ...]:
    """Every other source of heat that the plan tries, as another way to heat.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    tried = case.plan.other_heat
    makers: list[tuple[Any, Callable[[SimulationCase, Any], Alternative | None]]] = [
        (tried.compost, _compost_way),
        (tried.house_air, _house_air_way),
        (tried.stove, _stove_way),
        (tried.collector, _collector_way),
    ]
    ways = [way for source, make in makers if source is not None and (way := make(case, source)) is not None]
    warmest_c = unheated_range(case, case.plan)[1] if ways else 0.0
    return tuple(replace(way, heat=replace(way.heat, warmest_without_c=warmest_c)) for way in ways if way.heat)


def _compost_way(case: SimulationCase, compost: Compost) -> Alternative:
    """A compost heap, at its likely heat and at both ends of its range."""
    low, likely, high = compost.watts
    watts = [likely] if low == high else [likely, low, high]
    plans = [tried_plan(case.plan, compost_source(compost, heat)) for heat in watts]
    base, result, *ends = design_results(case, [case.plan, *plans])
    shares = [replaced_share(base, end) for end in ends] or [None, None]
    coldest_c, warmest_c = unheated_range(case, plans[0])
    brought = HeatBrought(
        brought_kwh=likely * hours_of_typical(case, base) / 1000.0,
        share=replaced_share(base, result),
        share_low=shares[0],
        share_high=shares[1],
        alone=keeps_minimum(case, coldest_c),
        coldest_alone_c=coldest_c,
        warmest_alone_c=warmest_c,
        watts=compost.watts,
    )
    meaning = "a coil in the heap heats the water" if compost.to_node == "tank" else "a coil in the heap heats the room"
    return way_of(COMPOST, meaning, (base, result), compost.cost, brought)


def _house_air_way(case: SimulationCase, air: HouseAir) -> Alternative:
    """Air taken from the house: what it brings to the room, and what the house's heating has to make up."""
    plan = tried_plan(case.plan, house_air_source(air))
    base, result = design_results(case, [case.plan, plan])
    winter = typical_winter(case, base)
    paid_kwh = _made_up_kwh(case, plan, winter)
    price = case.plan.power.price if air.heat_price is None else air.heat_price
    coldest_c, warmest_c = unheated_range(case, plan)
    brought = HeatBrought(
        brought_kwh=_house_air_kwh(case, plan, result, winter),
        share=replaced_share(base, result),
        share_low=None,
        share_high=None,
        alone=keeps_minimum(case, coldest_c),
        coldest_alone_c=coldest_c,
        warmest_alone_c=warmest_c,
        paid_kwh=paid_kwh,
        paid_cost=paid_kwh * price,
        heat_price=price,
    )
    way = way_of(HOUSE_AIR, "a fan blows warm air into the room", (base, result), air.cost, brought)
    return replace(way, reason=_damper(base, result))


def _house_air_kwh(case: SimulationCase, plan: Plan, result: DesignResult, winter: int) -> float:
    """Heat that house air brings to the room in a winter, with the heaters that are still needed. [kWh]"""
    assert plan.tried is not None
    air_c, _ = air_and_heater(case, plan, result, winter)
    room = plan.room
    conductance = house_air_conductance(network_of(case.plan, case.weather), plan.tried, room, case.weather.pressure_pa)
    return float(conductance * np.maximum(house_c(plan.tried, room) - air_c, 0.0).sum() / 1000.0)


def air_and_heater(case: SimulationCase, plan: Plan, result: DesignResult, winter: int) -> tuple[Array, Array]:
    """Air of the room [degC] and heat of the heaters [W] in each hour of a winter, with the heaters that are needed.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    plan : Plan
        A design of it.
    result : DesignResult
        Its result.
    winter : int
        Index of the winter.
    """
    own = in_winters(replace(case, plan=plan, network=network_of(plan, case.weather)), np.array([winter]))
    setpoint_c = result.setpoint_c if plan.heater.where == "room" else None
    heaters = own.heaters(np.array([sum(result.installed_w)]), setpoint_c=setpoint_c)
    run = own.simulate(heaters, hourly_output=True, request=OutputRequest(hourly=("mean_c", "heater_w")))
    assert run.hourly_output is not None
    hours = slice(own.weather.winters[0].hours)
    air = own.network.nodes.index("air")
    return run.hourly_output.mean_c[hours, air, 0], run.hourly_output.heater_w[hours, 0]


def _stove_way(case: SimulationCase, stove: Stove) -> Alternative:
    """A stove, by default the smallest that overwinters alone, and how long the water lasts once it is out."""
    least_w = least_stove(case, stove)
    watts = stove.watts or (least_w if np.isfinite(least_w) else 0.0)
    plan = tried_plan(case.plan, stove_source(stove, watts))
    base, result = design_results(case, [case.plan, plan])
    coldest_c, warmest_c = unheated_range(case, plan)
    alone = keeps_minimum(case, coldest_c)
    if alone:
        result = replace(result, needed_w=0.0)
    needed = base.needed_w is None or base.needed_w > 0.0
    size = _stove_heat(case, plan, least_w, (base, result)) if watts and needed else None
    paid_kwh = size.watts * size.hours * size.days / 1000.0 if size else 0.0
    price = case.plan.power.price if stove.heat_price is None else stove.heat_price
    brought = HeatBrought(
        brought_kwh=paid_kwh,
        share=replaced_share(base, result),
        share_low=None,
        share_high=None,
        alone=alone,
        coldest_alone_c=coldest_c,
        warmest_alone_c=warmest_c,
        paid_kwh=paid_kwh,
        paid_cost=paid_kwh * price,
        heat_price=price,
        stove=size,
    )
    return way_of(STOVE, "a stove in the room, lit every day", (base, result), stove.cost, brought)


def _stove_heat(
    case: SimulationCase, plan: Plan, least_w: float, base_and_result: tuple[DesignResult, DesignResult]
) -> StoveHeat:
    """How a stove heats in a typical winter, and how long the water lasts once it is out."""
    assert plan.tried is not None
    base, result = base_and_result
    winter = typical_winter(case, base)
    heated = np.asarray(air_and_heater(case, case.plan, base, winter)[1].reshape(-1, 24) > 0.0)
    cold_days = np.flatnonzero(heated.any(axis=1))
    air_c = air_and_heater(case, plan, result, winter)[0].reshape(-1, 24)
    *coldest, typical = hours_after(case, plan, np.append(coldest_winters(case.weather), winter))
    return StoveHeat(
        watts=plan.tried.watts,
        least_w=least_w if np.isfinite(least_w) else None,
        hours=sum(plan.tried.hours),
        days=len(cold_days),
        lasts_h=_within_a_week(min(float(hours.min()) for hours in coldest)),
        lasts_typical_h=_within_a_week(float(np.median(typical[cold_days[cold_days < len(typical)]]))),
        warmest_air_c=float(np.median(air_c[cold_days].max(axis=1))),
    )


def _collector_way(whole: SimulationCase, collector: Collector) -> Alternative | None:
    """A sun collector on the tank; None where no sun is known or wanted."""
    sunny = with_sun_on_collector(whole, collector)
    if sunny is None:
        return None
    plan = tried_plan(sunny.plan, COLLECTOR_SOURCE)
    case = with_collector_heat(sunny, plan, collector, UNLIMITED_W)
    base, result = design_results(case, [case.plan, plan])
    winter = typical_winter(case, base)
    assert case.weather.columns is not None
    heat_w = case.weather.columns[case.weather.row_range(winter), OTHER_HEAT, winter]
    coldest_c, warmest_c = unheated_range(with_collector_heat(sunny, plan, collector, 0.0), plan)
    brought = HeatBrought(
        brought_kwh=float(heat_w.sum(dtype=float) / 1000.0),
        share=replaced_share(base, result),
        share_low=None,
        share_high=None,
        alone=keeps_minimum(case, coldest_c),
        coldest_alone_c=coldest_c,
        warmest_alone_c=warmest_c,
    )
    return way_of(COLLECTOR, "warms the water of the tank", (base, result), collector.cost, brought)


def _within_a_week(hours: float) -> float | None:
    """Hours, or None for more than a week."""
    return hours if np.isfinite(hours) else None


def _made_up_kwh(case: SimulationCase, plan: Plan, winter: int) -> float:
    """Heat that warms the outdoor air which the house takes in for the air that it gives, in a winter. [kWh]"""
    assert plan.tried is not None
    weather, room = case.weather, plan.room
    outdoor_c = weather.outdoor_c[weather.row_range(winter), winter]
    hour = weather.winters[winter].times().hour
    colder_k = np.maximum(np.array(room.house_by_hour_c)[hour] - outdoor_c, 0.0)
    flow = air_change_conductance(house_air_kg_s(plan.tried, room, weather.pressure_pa))
    return float((flow * np.array(plan.tried.hours)[hour] * colder_k).sum() / 1000.0)


def _damper(base: DesignResult, result: DesignResult) -> str:
    """That house air makes the room damper; empty where it does not."""
    if not result.mould_h > max(RAISED_MOULD * base.mould_h, base.mould_h + RAISED_MOULD_H):
        return ""
    return (
        f"Hours of mould risk rise from {base.mould_h:,.0f} to {result.mould_h:,.0f}: the air of the house holds more"
        " vapour than outdoor air, and the room's walls stay cold."
    )


def tried_plan(plan: Plan, tried: TriedHeat) -> Plan:
    """The plan with another source of heat in it."""
    return replace(plan, tried=tried)


def replaced_share(base: DesignResult, result: DesignResult) -> float | None:
    """Share of the base's heating in the typical winter that a design does without; None where there is none. [-]"""
    return 1.0 - result.kwh / base.kwh if base.kwh > 0.0 else None


def typical_winter(case: SimulationCase, base: DesignResult) -> int:
    """Index of the winter that energy and cost of the designs are those of."""
    months = [case.weather.months(winter) for winter in range(len(case.weather.winters))]
    return months.index([month for month, _, _ in base.months])


def hours_of_typical(case: SimulationCase, base: DesignResult) -> int:
    """Hours of that winter. [h]"""
    return case.weather.winters[typical_winter(case, base)].hours


def unheated_range(case: SimulationCase, plan: Plan) -> tuple[float, float]:
    """Coldest and warmest tank of a design without a heater, the rare cold spell of sizing included. [degC]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    plan : Plan
        A design of it.
    """
    own = replace(case, plan=plan, network=network_of(plan, case.weather))
    off = own.heaters(np.zeros(1))
    runs = [item.simulate(off) for item in (own, own.in_rare_cold) if item is not None]
    return min(float(run.coldest_c.min()) for run in runs), max(float(run.warmest_c.max()) for run in runs)


def keeps_minimum(case: SimulationCase, coldest_c: float) -> bool:
    """Whether water with such a coldest temperature stays at or above its minimum."""
    return coldest_c >= case.plan.keep.floor_c - ROUNDING_K


def way_of(
    name: str,
    meaning: str,
    base_and_result: tuple[DesignResult, DesignResult],
    price: float | None,
    brought: HeatBrought,
) -> Alternative:
    """Another source of heat as a row of the other ways.

    Parameters
    ----------
    name, meaning : str
        Its name, and a few words of explanation.
    base_and_result : (DesignResult, DesignResult)
        The plan as written, and with it.
    price : float or None
        What it costs to set up [currency]; None where not known.
    brought : HeatBrought
        What it brings.
    """
    base, result = base_and_result
    cost = result.cost + (brought.paid_cost or 0.0)
    saves = base.cost - cost
    payback = price / saves if price and saves > 0.0 else None
    return Alternative(
        name, meaning, result.needed_w, result.kwh, cost, saves, result.outage_h, result.mould_h, price, payback,
        heat=brought,
    )  # fmt: skip
