"""A second heater in the room's air, beside the one in the water, that only keeps the plants from getting too cold.

The solver has one thermostat, which here is the air's. A strong conductance holds the water at its own thermostat's
temperature, and the heat through it is what the heaters in the water give. On mild days it would cool water that is
warmer than the thermostat; that heat is counted as none, which makes the energy a few per cent too high.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.case import SimulationCase, network_of, winter_hours
from thermal.analysis.heater_sizing import UNLIMITED_W
from thermal.analysis.verdict import air_around
from thermal.analysis.verdict_results import InhabitantVerdict, Remedy
from thermal.analysis.winter_pieces import simulate_in_pieces
from thermal.analysis.winter_totals import heater_months
from thermal.core.arrays import Array
from thermal.core.display_units import watts_text
from thermal.network.model import Network, thermostat
from thermal.plan.reader import variant
from thermal.solver.results import HourlyOutput

HOLD_W_PER_K = 2e4  # 2 kW take the water 0.1 K below its thermostat
AIR_ABOVE_K = (
    1.0  # thermostat of the air above the lowest that the plants stand, as that of the water above its minimum
)


def heat_air_as_well(case: SimulationCase, cold: tuple[InhabitantVerdict, ...], median: int) -> Remedy | None:
    """The remedy of a heater in the air beside those in the water, simulated.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    cold : tuple of InhabitantVerdict
        The plants whose air is too cold.
    median : int
        Index of the typical winter of the plan as written.

    Returns
    -------
    Remedy or None
        None where the air is given, or the plan heats the air already, or heats by the tariff's hours.
    """
    keep = case.plan.keep
    if case.plan.room.temperature_c is not None or case.plan.heater.where == "room" or keep.cheap_c is not None:
        return None
    plan = variant(case.plan, {"heater.where": "room", "heater.units": []})
    network = _hold_water(network_of(plan, case.weather), keep.thermostat_c)
    changed = replace(case, plan=plan, network=network)
    setpoint_c = max(item.lowest_air_c for item in cold if item.lowest_air_c is not None) + AIR_ABOVE_K
    cases = [changed] if changed.in_rare_cold is None else [changed, changed.in_rare_cold]
    control, weathers = thermostat(setpoint_c, UNLIMITED_W), [weather_case.weather for weather_case in cases]
    heats = list(map(_hourly_heat, cases, simulate_in_pieces(network, weathers, control, keep.floor_c)))
    air_w = max(float(heat.max()) for in_air, _, _ in heats for heat in in_air)
    water_w = max(float(heat.max()) for _, in_water, _ in heats for heat in in_water)
    in_air, in_water, coldest_c = heats[0]
    kwh, cost = (float(months.sum()) for months in heater_months(case, in_air[median] + in_water[median], median))
    place = "room" if plan.hut is None else "hut"
    meaning = f"{watts_text(water_w)} in the water and {watts_text(air_w)} in the air"
    return Remedy(f"heat the {place}'s air as well", meaning, water_w + air_w, kwh, cost, coldest_c)


def _hourly_heat(changed: SimulationCase, hourly: HourlyOutput) -> tuple[list[Array], list[Array], float]:
    """Heat in the air and in the water in each hour of every winter [W], and the coldest air [degC]."""
    tank, held_c = changed.network.nodes.index("tank"), changed.plan.keep.thermostat_c
    winters = [winter_hours(changed, hourly, winter, 0) for winter in range(len(changed.weather.winters))]
    in_air = [hours.hourly_output.heater_w[:, hours.column] for hours in winters]
    in_water = [np.maximum(HOLD_W_PER_K * (held_c - hours.mean(tank)), 0.0) for hours in winters]
    return in_air, in_water, min(float(air_around(changed, hours).min()) for hours in winters)


def _hold_water(network: Network, temperature_c: float) -> Network:
    """A network whose tank is held at a temperature [degC]."""
    tank = network.nodes.index("tank")
    fixed, source = network.fixed_w_per_k.copy(), network.source_w.copy()
    fixed[tank] += HOLD_W_PER_K
    source[:, tank] += HOLD_W_PER_K * temperature_c
    return replace(network, fixed_w_per_k=fixed, source_w=source)
