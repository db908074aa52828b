"""How cold the water gets when the breaker of one circuit stays off all winter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.results import CircuitLoad
from thermal.climate.cold_spells import coldest_winters, take_winters
from thermal.core.arrays import Array
from thermal.core.schedule import NEVER
from thermal.network.model import Control
from thermal.plan.model import Plan


def coldest_with_a_circuit_lost(case: SimulationCase, setpoint_c: Array, circuits: tuple[CircuitLoad, ...]) -> float:
    """Coldest tank of the coldest winters when the circuit whose loss is worst stays off. [degC]

    With the first circuit pump, lights and other loads stop too.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    setpoint_c : Array, shape (24, 1)
        Thermostat by local hour [degC].
    circuits : tuple of CircuitLoad
        The heaters on their circuits, the first with pump and lights.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    weather = take_winters(case.weather, coldest_winters(case.weather))
    case = replace(case, weather=weather, forcing=weather.forcing)
    watts = [sum(circuit.heaters_w) for circuit in circuits]
    left = sum(watts) - np.array(watts)
    stopped = network_of(without_pump_and_lights(case.plan), case.weather)
    coldest_c = float(case.simulate(_control(setpoint_c, left[0]), network=stopped).coldest_c.min())
    if len(left) == 1:
        return coldest_c
    return min(coldest_c, float(case.simulate(_control(setpoint_c, left[1:].min())).coldest_c.min()))


def without_pump_and_lights(plan: Plan) -> Plan:
    """The plan with pump, lights and other loads off."""
    return replace(
        plan,
        pump=replace(plan.pump, power_w=0.0, hours=NEVER),
        loads=tuple(replace(load, power_w=0.0) for load in plan.loads),
    )


def _control(setpoint_c: Array, watts: float) -> Control:
    """One heater of a power [W] with its thermostat."""
    return Control(setpoint_c, np.array([watts]), np.zeros(1))
