"""Which heater: the power needed to keep the minimum, what to buy, and what happens when one fails."""

from __future__ import annotations

import numpy as np

from thermal.analysis.case import UNHEATED, SimulationCase, group_by_topology
from thermal.analysis.heater_sizing import ROUNDING_K, Sizing, size_on_cold_spells, verify_on_winters
from thermal.analysis.heater_units import heaters_to_buy, installed_heaters
from thermal.analysis.results import HeaterChoice
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.errors import SizingError
from thermal.network.model import Control
from thermal.plan.model import Plan
from thermal.solver.results import SimulationResult

BOILING_C = 100.0
LEAST_W = 4  # design of the hourly simulation that has exactly the heater needed


def choose_heater(case: SimulationCase) -> tuple[HeaterChoice, SimulationResult, float]:
    """What to install, and how it does in the winters.

    Returns
    -------
    choice : HeaterChoice
    shown : SimulationResult
        The hourly simulation of (unheated, installed, one failed, one stuck on, exactly the heater needed).
    closure : float
        The worst energy balance error of the simulations that sized the heater.

    Raises
    ------
    SizingError
        When even a very warm room cannot keep the water at its minimum, or lights and other devices would boil it.
    """
    batch = group_by_topology([case.plan], case.weather)[0]
    sizing = size_on_cold_spells(batch)
    if not np.isfinite(sizing.needed_w[0]):
        raise SizingError(
            f"even a room at {_degrees(case, float(sizing.setpoint_c[0, 0]))} does not keep the water at the minimum of"
            f' {_degrees(case, case.plan.keep.floor_c)}; write heater where = "water"'
        )
    shown = _shown(case, sizing)
    if shown.warmest_c[UNHEATED].max() > BOILING_C:
        raise SizingError(
            f"pump, lights and other devices of {case.plan.electric_w:,.0f} W would boil the water without any heater;"
            " check their power"
        )
    margin = shown.coldest_c[LEAST_W].min(keepdims=True) - case.plan.keep.floor_c + ROUNDING_K
    if margin[0] < 0:
        sizing = verify_on_winters(batch, sizing, margin)
        shown = _shown(case, sizing)
    return _choice(case.plan, sizing, shown), shown, float(sizing.unlimited.closure.max())


def _degrees(case: SimulationCase, celsius: float) -> str:
    """A temperature in the plan's units."""
    return UNIT_SYSTEMS[case.plan.units].text("temperature", celsius, 0)


def _shown(case: SimulationCase, sizing: Sizing) -> SimulationResult:
    """The plan with no heater, with what is installed, with one failed or stuck on, and with exactly what is needed."""
    needed_w = float(sizing.needed_w[0])
    installed = installed_heaters(case.plan, needed_w)
    total, largest = sum(installed), max(installed, default=0.0)
    watts = np.array([0.0, total, total - largest, total, needed_w])
    stuck = np.array([0.0, 0.0, 0.0, largest, 0.0])
    return case.simulate(Control(np.repeat(sizing.setpoint_c, len(watts), axis=1), watts, stuck), hourly_output=True)


def _choice(plan: Plan, sizing: Sizing, shown: SimulationResult) -> HeaterChoice:
    needed_w = float(sizing.needed_w[0])
    installed = installed_heaters(plan, needed_w)
    total = sum(installed)
    holds = bool(plan.heater.units_w) and total >= needed_w
    return HeaterChoice(
        needed_w=needed_w,
        setpoint_c=float(sizing.setpoint_c.min()),
        installed_w=installed,
        buy_w=() if holds else heaters_to_buy(needed_w * (1.0 + plan.heater.reserve)),
        coldest_c=float(shown.coldest_c[1].min()),
        warmest_c=float(shown.warmest_c[1].max()),
        hours_below=float(shown.hours_below[1].sum()),
        one_failed_c=float(shown.coldest_c[2].min()),
        stuck_on_c=min(BOILING_C, float(shown.warmest_c[3].max())),
        peak_duty=float(shown.peak_w[1].max() / total) if total else 0.0,
    )
