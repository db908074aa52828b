"""Harm to people and animals by the plan as written, from a few designs: for `compare`, which makes no assessment."""

from __future__ import annotations

import numpy as np

from thermal.analysis.case import INSTALLED, SimulationCase, hours_of, network_of
from thermal.analysis.circuit import supply_of
from thermal.analysis.circuit_layout import layout
from thermal.analysis.circuit_lost import without_pump_and_lights
from thermal.analysis.comparison_results import DesignResult
from thermal.analysis.harms import HarmInput, harm_warnings
from thermal.analysis.heater_units import guarded_c
from thermal.analysis.results import PlanWarning
from thermal.core.arrays import Array
from thermal.network.model import join_networks
from thermal.solver.results import SimulationResult

STUCK_ON = 0  # before INSTALLED
BOILING_C = 100.0


def harms_of_plan(case: SimulationCase, result: DesignResult) -> tuple[PlanWarning, ...]:
    """Every harm that applies to the plan without measures.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    result : DesignResult
        Its result, with the heaters that it has installed.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    installed = result.installed_w
    circuits = layout(installed, supply_of(case.plan))
    total, largest = sum(installed), max(installed, default=0.0)
    left = total - np.array([sum(circuit.heaters_w) for circuit in circuits])
    watts = np.array([total, total, left[1:].min(initial=total), left[0]])
    stuck = np.array([largest, 0.0, 0.0, 0.0])
    run = _simulate(case, result, watts, stuck)
    lost_c = run.coldest_c[INSTALLED + 1 :].min()
    if case.in_rare_cold is not None:
        lost_c = min(lost_c, _simulate(case.in_rare_cold, result, watts, stuck).coldest_c[INSTALLED + 1 :].min())
    return harm_warnings(
        HarmInput(
            case=case,
            installed_w=installed,
            circuits=circuits,
            one_circuit_lost_c=float(lost_c),
            stuck_on_c=guarded_c(
                case.plan,
                min(BOILING_C, float(run.warmest_c[STUCK_ON].max())),
                float(run.warmest_c[INSTALLED].max()),
            ),
            winters=[hours_of(case, run, winter, INSTALLED) for winter in range(len(case.weather.winters))],
        )
    )


def _simulate(case: SimulationCase, result: DesignResult, watts: Array, stuck_w: Array) -> SimulationResult:
    """Hourly simulation of (one heater stuck on, installed, another circuit lost, the first circuit lost)."""
    stopped = network_of(without_pump_and_lights(case.plan), case.weather)
    own = case.network.take(np.zeros(len(watts) - 1, dtype=int))
    heated_room = result.setpoint_c if case.plan.heater.where == "room" else None
    control = case.heaters(watts, stuck_w, heated_room)
    return case.simulate(control, hourly_output=True, network=join_networks([own, stopped]))
