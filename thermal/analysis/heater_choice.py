"""The choice of heaters: the power needed to keep the minimum, heaters to buy, and what happens when one fails."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermal.analysis.both_weathers import simulate_in_both
from thermal.analysis.case import INSTALLED, UNHEATED, Batch, SimulationCase, group_by_topology, network_of
from thermal.analysis.circuit import fits_no_circuit, supply_of
from thermal.analysis.circuit_layout import layout
from thermal.analysis.circuit_lost import without_pump_and_lights
from thermal.analysis.comparison_results import DesignResult, Uncertainty
from thermal.analysis.heater_sizing import ROUNDING_K, Sizing, size_heaters, verify_on_winters
from thermal.analysis.heater_units import guarded_c, heaters_to_buy, installed_heaters, watts_to_buy
from thermal.analysis.results import HeaterChoice
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.schedule import ALWAYS
from thermal.errors import SizingError
from thermal.network.model import Control, join_networks
from thermal.plan.model import Plan
from thermal.solver.results import SimulationResult

BOILING_C = 100.0
NEEDED, ONE_FAILED, STUCK_ON, CIRCUIT_LOST = 2, 3, 4, 5  # index of the design in the simulation, after INSTALLED
HOURLY_DESIGNS = 3  # of which every hour is kept: the first ones


def choose_heater(
    case: SimulationCase, uncertainty: Uncertainty | None = None
) -> tuple[HeaterChoice, SimulationResult, SimulationResult | None, float]:
    """The heaters to install, and the water temperatures that they keep.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    uncertainty : Uncertainty, optional
        Samples of the plan, which say how much power is enough in 9 of 10 of them.

    Returns
    -------
    choice : HeaterChoice
        The heater needed and the heaters to buy.
    shown : SimulationResult
        Simulation of the designs (unheated, installed, needed, one failed, one stuck on, a circuit lost, the first
        circuit lost), the first three hour by hour.
    in_rare_cold : SimulationResult or None
        The same in the rare cold spell; None where there is none.
    closure : float
        Largest error of the energy balance in the simulations that sized the heater, as a share of the heat
        exchanged [-].

    Raises
    ------
    SizingError
        When even a very warm room does not keep the water at its minimum, or lights and other devices would boil it.
    ClosureError
        When a simulation does not conserve energy.
    """
    batch = group_by_topology([case.plan], case.weather)[0]
    sizing = _size_of_samples(batch, uncertainty) or size_heaters(batch, case.design)
    if not np.isfinite(sizing.needed_w[0]):
        raise no_heater_is_enough(case.plan, float(sizing.setpoint_c[0, 0]))
    shown, cold = _shown(case, sizing, uncertainty)
    if shown.warmest_c[UNHEATED].max() > BOILING_C:
        raise devices_boil_the_water(case.plan)
    margins = shown.coldest_c[NEEDED : NEEDED + 1] - case.plan.keep.floor_c + ROUNDING_K
    if (margins < 0).any():
        sizing = verify_on_winters(batch, sizing, margins)
        shown, cold = _shown(case, sizing, uncertainty)
    return _choice(case, sizing, shown, cold, uncertainty), shown, cold, float(sizing.closure[0])


def _size_of_samples(batch: Batch, uncertainty: Uncertainty | None) -> Sizing | None:
    """The heater needed, where the plan was already sized among its samples; its thermostat is that of the plan."""
    if uncertainty is None or batch.heats_room or "needed_w" not in uncertainty.bands:
        return None
    needed_w = np.array([uncertainty.bands["needed_w"].likely])
    return Sizing(needed_w, batch.setpoint_c, batch.setpoint_c, np.zeros(1))


def no_heater_is_enough(plan: Plan, room_c: float) -> SizingError:
    """The error of a plan that no heater keeps warm: on a timer, or in a room at its warmest thermostat, in degC."""
    units = UNIT_SYSTEMS[plan.units]
    room, floor = (units.text("temperature", celsius, 0) for celsius in (room_c, plan.keep.floor_c))
    if plan.heater.hours != ALWAYS:
        return SizingError(
            f"with a timer that gives the heaters power for {sum(plan.heater.hours):g} h a day no heater keeps the"
            f" water at the minimum of {floor}; write longer [heater] hours, a higher [keep] thermostat, or insulate"
        )
    return SizingError(
        f'even a room at {room} does not keep the water at the minimum of {floor}; write heater where = "water"'
    )


def refuse_where_no_heater_is_enough(plan: Plan, results: Sequence[DesignResult]) -> None:
    """Refuse a comparison in which no design keeps the water at its minimum, so that there is nothing to compare.

    Parameters
    ----------
    plan : Plan
        The plan.
    results : sequence of DesignResult
        Its designs, the plan as it is first.

    Raises
    ------
    SizingError
        When no heater is enough for any of them.
    """
    if all(result.needed_w is None for result in results):
        raise no_heater_is_enough(plan, results[0].setpoint_c)


def devices_boil_the_water(plan: Plan) -> SizingError:
    """The error of a plan whose other devices would boil the water."""
    return SizingError(
        f"pump, lights and other devices of {plan.electric_w:,.0f} W would boil the water without any heater;"
        " check their power"
    )


def _shown(
    case: SimulationCase, sizing: Sizing, uncertainty: Uncertainty | None
) -> tuple[SimulationResult, SimulationResult | None]:
    """Simulation of (unheated, installed, needed, one failed, one stuck on, one circuit lost, the first circuit lost).

    Every hour of the first three is kept. The second result is the same in the rare cold spell, where there is one.
    """
    needed_w = float(sizing.needed_w[0])
    installed = installed_heaters(case.plan, _buy_for(case, needed_w, uncertainty))
    total, largest = sum(installed), max(installed, default=0.0)
    left = total - np.array([sum(circuit.heaters_w) for circuit in layout(installed, supply_of(case.plan))])
    watts = np.array([0.0, total, needed_w, total - largest, total, left[1:].min(initial=total), left[0]])
    stuck = np.zeros(len(watts))
    stuck[STUCK_ON] = largest
    own = case.network.take(np.zeros(len(watts) - 1, dtype=int))
    stopped = network_of(without_pump_and_lights(case.plan), case.weather)
    setpoints = [np.repeat(setpoint, len(watts), axis=1) for setpoint in (sizing.setpoint_c, sizing.rare_setpoint_c)]
    control = Control(setpoints[0], watts, stuck)
    return simulate_in_both(case, join_networks([own, stopped]), control, setpoints[1], HOURLY_DESIGNS)


def _buy_for(case: SimulationCase, needed_w: float, uncertainty: Uncertainty | None) -> float:
    """Power that the heaters to buy have at least. [W]"""
    return watts_to_buy(case.plan, needed_w, None if uncertainty is None else uncertainty.enough_w)


def _choice(
    case: SimulationCase,
    sizing: Sizing,
    shown: SimulationResult,
    cold: SimulationResult | None,
    uncertainty: Uncertainty | None,
) -> HeaterChoice:
    """The choice from the simulated designs, in the winters and in the rare cold spell."""
    runs = [shown] if cold is None else [shown, cold]
    plan, supply, needed_w = case.plan, supply_of(case.plan), float(sizing.needed_w[0])
    watts = _buy_for(case, needed_w, uncertainty)
    stuck_c = min(BOILING_C, float(shown.warmest_c[STUCK_ON].max()))
    installed = installed_heaters(plan, watts)
    total, owned = sum(installed), bool(plan.heater.units_w)
    holds = owned and total >= needed_w and not fits_no_circuit(installed, supply)
    buy = () if holds else heaters_to_buy(watts, supply)
    return HeaterChoice(
        needed_w=needed_w,
        buy_for_w=watts,
        samples=0 if uncertainty is None or uncertainty.enough_w is None else uncertainty.samples,
        setpoint_c=float(sizing.rare_setpoint_c.min()),
        installed_w=installed,
        buy_w=buy,
        coldest_c=min(float(run.coldest_c[INSTALLED].min()) for run in runs),
        warmest_c=float(shown.warmest_c[INSTALLED].max()),
        hours_below=_hours_below(case, shown, cold),
        one_failed_c=min(float(run.coldest_c[ONE_FAILED].min()) for run in runs),
        one_circuit_lost_c=min(float(run.coldest_c[CIRCUIT_LOST:].min()) for run in runs),
        stuck_on_c=guarded_c(plan, stuck_c, float(shown.warmest_c[INSTALLED].max())),
        stuck_on_unguarded_c=stuck_c,
        peak_duty=max(float(run.peak_w[INSTALLED].max()) for run in runs) / total if total else 0.0,
        circuits=layout(buy or installed, supply),
    )


def _hours_below(case: SimulationCase, shown: SimulationResult, cold: SimulationResult | None) -> float:
    """Hours below the minimum with the installed heaters, the rare cold spell in the place of its own winter. [h]"""
    hours = shown.hours_below[INSTALLED].astype(float).copy()
    if cold is not None and case.design is not None:
        labels = [winter.label for winter in case.weather.winters]
        winter = labels.index(case.design.winters[0].label)
        hours[winter] = max(hours[winter], float(cold.hours_below[INSTALLED, 0]))
    return float(hours.sum())
