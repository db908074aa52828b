"""The air of a hut from outdoors, from the house or from the room around it, as other ways to run a plan with a hut."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.design_results import design_results
from thermal.analysis.lighter_case import in_winters
from thermal.analysis.way_surprises import surprise
from thermal.physics.infiltration import air_change_conductance
from thermal.plan.model import Plan
from thermal.solver.results import OutputRequest

HUT_AIR = {
    "room": "hut air from the room",
    "outdoors": "hut air from outdoors",
    "house": "hut air from the house",
}


def hut_air_ways(case: SimulationCase, base: DesignResult) -> tuple[Alternative, ...]:
    """The plan with its hut's air from each other place; none without a hut.

    The heat that the house then gives is part of the cost, at the price of electricity.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    base : DesignResult
        Its result.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    hut, plan = case.plan.hut, case.plan
    if hut is None:
        return ()
    places = [place for place in HUT_AIR if place != hut.air_from and (place != "house" or house_is_known(plan))]
    plans = [replace(plan, hut=replace(hut, air_from=place)) for place in places]
    results = design_results(case, [plan, *plans])[1:]
    own_kwh = _house_kwh(case, plan, base)
    ways = []
    for place, changed, result in zip(places, plans, results, strict=True):
        house_kwh = _house_kwh(case, changed, result)
        cost = result.cost + (house_kwh - own_kwh) * plan.power.price
        way = Alternative(
            HUT_AIR[place], f"{hut.air_changes_per_h:g} air changes an hour", result.needed_w, result.kwh, cost,
            base.cost - cost, result.outage_h, result.mould_h, condensation_h=result.condensation_h,
            house_kwh=house_kwh,
        )  # fmt: skip
        ways.append(replace(way, reason=surprise(base, way, case.season.complete > 0)))
    return tuple(ways)


def house_is_known(plan: Plan) -> bool:
    """Whether the plan says how warm the house is, or has a side to it."""
    room: Any = plan.source.get("room", {})
    return "house_temperature" in room or any(side.faces == "house" for side in plan.room.sides)


def _house_kwh(case: SimulationCase, plan: Plan, result: DesignResult) -> float:
    """Heat that the air of the house brings to the hut of a design in its typical winter. [kWh]"""
    if plan.hut is None or plan.hut.air_from != "house":
        return 0.0
    months = [case.weather.months(winter) for winter in range(len(case.weather.winters))]
    winter = months.index([month for month, _, _ in result.months])
    own = in_winters(replace(case, plan=plan, network=network_of(plan, case.weather)), np.array([winter]))
    setpoint_c = result.setpoint_c if plan.heater.where == "room" else None
    heaters = own.heaters(np.array([sum(result.installed_w)]), setpoint_c=setpoint_c)
    run = own.simulate(heaters, hourly_output=True, request=OutputRequest(hourly=("mean_c",)))
    room, season = own.network.room_air, own.weather.winters[0]
    assert run.hourly_output is not None
    assert room is not None
    assert room.direct_change_kg_s is not None
    hut_c = run.hourly_output.mean_c[: season.hours, own.network.nodes.index("hut"), 0]
    house_c = np.array(plan.room.house_by_hour_c)[season.times().hour]
    conductance = float(air_change_conductance(room.direct_change_kg_s[0]))
    return float(conductance * np.maximum(house_c - hut_c, 0.0).sum() / 1000.0)
