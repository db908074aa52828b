"""A dehumidifier and a fan by humidity as other ways to run a plan whose room is damp."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.design_results import design_results
from thermal.analysis.drying_results import L_PER_KG
from thermal.analysis.way_prices import price_of_way
from thermal.analysis.way_surprises import surprise
from thermal.core.display_units import UNIT_SYSTEMS, percent_text
from thermal.data.dehumidifiers import DehumidifierSize, FanSize, dehumidifier_sizes, fan_sizes
from thermal.plan.damp_devices import Dehumidifier, HumidityFan
from thermal.plan.model import Plan

DEHUMIDIFIER, FAN = "dehumidifier", "fan by humidity"
DAMP_H = 24.0  # hours of possible mould in a typical winter below which no drying is tried
FEW_SHARE = 0.1  # of the plan's hours of possible mould that count as few
DRYING_HUMIDITIES = (0.5, 0.35)  # that a dehumidifier is tried at: 35 % is about as low as its hygrostat goes
FAN_HUMIDITY = 0.7
NO_DEHUMIDIFIER, NO_FAN = Dehumidifier(0.0, 0.0, 0.5, "compressor"), HumidityFan(0.0, 0.0, FAN_HUMIDITY)
Tried = tuple[str, float, Plan]  # what it is, its price, the plan with it


def damp_ways(case: SimulationCase, base: DesignResult) -> tuple[Alternative, ...]:
    """A dehumidifier and a fan by humidity of the size that helps, where the plan is damp and has neither.

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
    plan, units = case.plan, UNIT_SYSTEMS[case.plan.units]
    is_given = plan.room.temperature_c is not None
    if is_given or plan.dehumidifier is not None or plan.fan is not None or base.mould_h <= DAMP_H:
        return ()
    at_rest = replace(plan, dehumidifier=NO_DEHUMIDIFIER, fan=None if plan.hut else NO_FAN)  # one topology for all
    dryers = [
        (
            f"{size.kind}, {units.text('volume', size.l_per_day / 1000.0)} a day, at {percent_text(humidity)}",
            size.price,
            replace(at_rest, dehumidifier=_dehumidifier(size, humidity)),
        )
        for size in dehumidifier_sizes().values()
        for humidity in DRYING_HUMIDITIES
    ]
    fans = [
        (
            f"{units.text('air_flow', size.m3_per_h / 3600.0, 0)} of outdoor air, above {percent_text(FAN_HUMIDITY)}",
            size.price,
            replace(at_rest, fan=_fan(size)),
        )
        for size in (() if plan.hut else fan_sizes().values())
    ]
    results = design_results(case, [at_rest, *(tried_plan for _, _, tried_plan in dryers + fans)])[1:]
    groups = ((DEHUMIDIFIER, dryers, results[: len(dryers)]), (FAN, fans, results[len(dryers) :]))
    ways = []
    for name, tried, own in groups:
        if tried:
            best = _best(base, own)
            ways.append(_way(name, tried[best], base, own[best]))
    return tuple(replace(way, reason=surprise(base, way, case.season.complete > 0)) for way in ways)


def _dehumidifier(size: DehumidifierSize, humidity: float) -> Dehumidifier:
    """A dehumidifier of some size that holds some relative humidity."""
    return Dehumidifier(size.l_per_day / L_PER_KG / 86400.0, size.watts, humidity, size.kind)


def _fan(size: FanSize) -> HumidityFan:
    """A fan of some size."""
    return HumidityFan(size.m3_per_h / 3600.0, size.watts, FAN_HUMIDITY)


def _best(base: DesignResult, results: Sequence[DesignResult]) -> int:
    """The cheapest to run of those that leave few hours of possible mould, or else the one that leaves fewest."""
    few = max(DAMP_H, FEW_SHARE * base.mould_h)
    enough = [i for i, result in enumerate(results) if result.mould_h <= few]
    if enough:
        return min(enough, key=lambda i: results[i].cost)
    return min(range(len(results)), key=lambda i: (results[i].mould_h, results[i].cost))


def _way(name: str, tried: Tried, base: DesignResult, result: DesignResult) -> Alternative:
    """One of them as a row of the other ways."""
    meaning, usual, plan = tried
    price = price_of_way(plan, name, result.needed_w)
    if price is not None and name not in dict(plan.way_costs):
        price = usual
    saves = base.cost - result.cost
    return Alternative(
        name, meaning, result.needed_w, result.kwh, result.cost, saves, result.outage_h, result.mould_h, price,
        price / saves if price and saves > 0.0 else None, drying=result.drying, condensation_h=result.condensation_h,
    )  # fmt: skip
