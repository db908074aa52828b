"""Other ways to heat the same system: elsewhere, at other hours, under a hut, by a heat pump."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.analysis.winter_totals import other_months, price_weights
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.schedule import ALWAYS
from thermal.physics.heat_pump import heat_pump_cop
from thermal.plan import tariff
from thermal.plan.model import Plan
from thermal.plan.reader import variant

HUT_ROOMIER = 1.3  # hut over the footprint of what stands in it, each way
HUT_HEIGHT_M = 1.9
HUT_BUILD = "bubble-wrap tent"
NIGHT_TOP = "snug foam lid"
CHEAP_ABOVE_K = 3.0
PUMP_BY_DAY = "06:00-22:00"
Way = tuple[str, str, dict[str, object]]  # name, what it means, settings


def alternative_settings(plan: Plan) -> list[Way]:
    """The other ways that make sense for a plan, as settings of its file."""
    settings: list[Way] = []
    given_air, in_room = plan.room.temperature_c is not None, plan.heater.where == "room"
    if in_room:
        settings.append(("heat the water", "heaters in the tank", {"heater.where": "water"}))
    elif not given_air and plan.keep.cheap_c is None:
        settings.append(("heat the room", "a heater in the room's air instead of the tank", {"heater.where": "room"}))
    if plan.hut is not None:
        settings.append(("without the hut", "the system stands uncovered in the room", {"hut": None}))
    elif not given_air and not plan.room.leakage_area_cm2:
        hut = _hut_round(plan)
        settings.append((f"{HUT_BUILD} round the system", f"a hut of {_size(plan, hut)} inside the room", {"hut": hut}))
    if any(
        vessel.top in ("open", "bubbling") and vessel.night_evaporation == vessel.evaporation for vessel in plan.tanks
    ):
        settings.append(("lid at night only", f"{NIGHT_TOP} on the tank 20:00-8:00", {"tank.night_top": NIGHT_TOP}))
    if plan.beds and plan.pump.flow_m3_s > 0 and plan.pump.hours == ALWAYS:
        settings.append(("pump off at night", f"it runs {PUMP_BY_DAY}; check oxygen", {"pump.hours": PUMP_BY_DAY}))
    if plan.power.periods and plan.keep.cheap_c is None and not in_room:
        warmer = plan.keep.thermostat_c + CHEAP_ABOVE_K
        warmer_by = UNIT_SYSTEMS[plan.units].difference(CHEAP_ABOVE_K)
        meaning = f"thermostat {warmer_by} higher while electricity is cheap"
        settings.append(("heat in cheap hours", meaning, {"keep.cheap_hours": f"{warmer:g} degC"}))
    return settings


def alternative_plans(plan: Plan) -> list[Plan]:
    """The plan changed in each of its `alternative_settings`."""
    return [variant(plan, settings) for _, _, settings in alternative_settings(plan)]


def alternatives(plan: Plan, base: DesignResult, results: Sequence[DesignResult]) -> tuple[Alternative, ...]:
    """The outcomes of `alternative_plans` beside the plan's own."""
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
    """What to weigh each hour's heat with to have a heat pump's electricity and its price, (2, hour, winter)."""
    cop = heat_pump_cop(case.forcing.outdoor_c, *data.heat_pump())
    return np.stack([1.0 / cop, price_weights(case) / cop])


def heat_pump(case: SimulationCase, base: DesignResult) -> Alternative:
    """The plan's own heat from an air-source heat pump, hour by hour at the outdoor temperature's COP.

    `base` is the plan's outcome with its heat weighted by `heat_pump_weights`.
    """
    kwh, paid = (np.array(months) for months in base.weighted)
    every = [case.weather.months(i) for i in range(len(case.weather.winters))]
    times = case.weather.winters[every.index([month for month, _, _ in base.months])].times()
    cost = float(tariff.month_costs(case.plan.power, kwh, paid, other_months(case.plan, times)).sum())
    share = base.kwh / kwh.sum() if kwh.sum() else np.inf
    meaning = f"{share:.1f} kWh of heat for each kWh of electricity" if kwh.sum() else "no heat needed"
    return Alternative(
        "air-source heat pump", meaning, base.needed_w, float(kwh.sum()), cost, base.cost - cost, base.outage_h,
        base.mould_h,
    )  # fmt: skip


def _size(plan: Plan, hut: dict[str, object]) -> str:
    """A hut's size in the units shown."""
    shown = UNIT_SYSTEMS[plan.units]
    metres = (float(str(hut[side]).split()[0]) for side in ("length", "width", "height"))
    return " x ".join(shown.text("length", metre) for metre in metres)


def _hut_round(plan: Plan) -> dict[str, object]:
    """A hut with room to work in round every vessel, within the room."""
    room = plan.room
    footprint = sum(vessel.bottom_m2 for vessel in plan.tanks + plan.beds)
    width = min(room.width_m, (footprint * room.width_m / room.length_m) ** 0.5 * HUT_ROOMIER)
    length = min(room.length_m, footprint * HUT_ROOMIER**2 / width)
    height = min(room.height_m, HUT_HEIGHT_M)
    return {
        "length": f"{length:.1f} m", "width": f"{width:.1f} m", "height": f"{height:.1f} m", "build": HUT_BUILD,
    }  # fmt: skip
