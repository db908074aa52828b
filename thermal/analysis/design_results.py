"""Many designs simulated: heater needed, energy, cost, power outage and moisture of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from thermal.analysis.case import Batch, SimulationCase, group_by_topology
from thermal.analysis.circuit import supply_of
from thermal.analysis.circuit_layout import fits_given_circuits
from thermal.analysis.comparison_results import DesignResult
from thermal.analysis.heater_sizing import ROUNDING_K, UNLIMITED_W, Sizing, size_heaters, verify_on_winters
from thermal.analysis.heater_units import heaters_to_buy, watts_to_buy
from thermal.analysis.outage_hours import hours_to_minimum, snapshot_rows
from thermal.analysis.winter_totals import (
    JOULES_PER_KWH,
    complete_winters,
    median_and_worst,
    monthly_kwh,
    other_months,
    price_weights,
)
from thermal.climate.cold_spells import coldest_winters, take_winters
from thermal.core.arrays import Array
from thermal.core.parallel import SerialExecutor
from thermal.network.model import Control
from thermal.plan import tariff
from thermal.plan.model import Plan, Power
from thermal.solver.results import OutputRequest, SimulationResult
from thermal.solver.simulate import simulate_parallel

COLUMNS = 2  # simulated for each design and winter: with the heaters installed, and with the heater needed


@dataclass(frozen=True)
class _Calendar:
    """Month labels and hours of each winter."""

    labels: list[list[str]]
    times: list[pd.DatetimeIndex]


@dataclass(frozen=True)
class SimulatedDesigns:
    """Designs of one network topology, simulated through every winter.

    Attributes
    ----------
    plans : tuple of Plan
        The designs.
    positions : Array of int, shape (design,)
        Their numbers among all designs asked for.
    sizing : Sizing
        The heater that each needs.
    run : SimulationResult
        Simulation of the designs with about the heaters to buy, samples with those needed; then of designs that are no
        samples with those needed.
    unheated_c : Array, shape (design,)
        Coldest tank without a heater, in the coldest winters [degC]; NaN where it was not simulated.
    outage_h : Array, shape (design,)
        Time from the worst power cut until the tank is at its minimum [h]; infinite if longer than a week.
    """

    plans: tuple[Plan, ...]
    positions: Array
    sizing: Sizing
    run: SimulationResult
    unheated_c: Array
    outage_h: Array


def design_results(
    case: SimulationCase, plans: Sequence[Plan], sample_range: range = range(0), weights: Array | None = None
) -> list[DesignResult]:
    """Heater, energy, cost, power outage and moisture of every plan.

    Parameters
    ----------
    case : SimulationCase
        The base plan and its climate.
    plans : sequence of Plan
        Variants of the plan; the first is the base, whose typical winter is used for all.
    sample_range : range
        Indices of the uncertainty samples, the plan as written first. They have the topology of the base, and are also
        simulated without a heater.
    weights : Array, shape (weight, hour, winter), optional
        Further factors on each hour's heat, beside the price, from the first row of the forcing.

    Returns
    -------
    list of DesignResult
        In the order of `plans`.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    return results_of(case, simulate_designs(case, plans, np.arange(len(plans)), sample_range, weights))


def simulate_designs(
    case: SimulationCase,
    plans: Sequence[Plan],
    positions: Array,
    sample_range: range = range(0),
    weights: Array | None = None,
) -> list[SimulatedDesigns]:
    """Simulation of each plan through every winter, with the heater that it needs.

    Parameters
    ----------
    case : SimulationCase
        The base plan and its climate.
    plans : sequence of Plan
        Variants of the plan.
    positions : Array of int, shape (plan,)
        Numbers of the plans among all designs.
    sample_range, weights
        As in `design_results`.

    Returns
    -------
    list of SimulatedDesigns
        One for each network topology.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    price = price_weights(case)[None]
    all_weights = price if weights is None else np.concatenate([price, weights])
    batches = group_by_topology(plans, case.weather)
    numbered = [replace(batch, positions=positions[batch.positions]) for batch in batches]
    return [_simulate_batch(case, batch, sample_range, all_weights) for batch in numbered]


def results_of(
    case: SimulationCase, simulated: Iterable[SimulatedDesigns], margin: float | None = None
) -> list[DesignResult]:
    """The results of simulated designs.

    Parameters
    ----------
    case : SimulationCase
        The base plan and its climate.
    simulated : iterable of SimulatedDesigns
        From `simulate_designs`, in any order, with every position at least once.
    margin : float, optional
        Power to buy over that needed, from samples of the base [-].

    Returns
    -------
    list of DesignResult
        By rising position.
    """
    batches = list(simulated)
    winters = range(len(case.weather.winters))
    calendar = _Calendar([case.weather.months(i) for i in winters], [case.weather.winters[i].times() for i in winters])
    base, column = next((batch, int(i)) for batch in batches for i in np.flatnonzero(batch.positions == 0))
    median, _ = median_and_worst(case.weather, base.run.heater_j[column])
    results = {
        int(position): replace_heaters(_design_result(case, batch, i, median, calendar), batch.plans[i], margin)
        for batch in batches
        for i, position in enumerate(batch.positions)
    }
    return [results[position] for position in sorted(results)]


def _simulate_batch(case: SimulationCase, batch: Batch, sample_range: range, weights: Array) -> SimulatedDesigns:
    """Size the heaters of a batch and simulate it through every winter.

    The heaters needed come from the cold spells only. Where one is too small for a whole winter, it is sized on whole
    winters and the batch is simulated again.
    """
    sizing = size_heaters(batch, case.design)
    result, margins = _through_winters(case, batch, sizing, sample_range, weights)
    if (margins < 0).any():
        sizing = verify_on_winters(batch, sizing, margins)
        result, _ = _through_winters(case, batch, sizing, sample_range, weights)
    return result


def _through_winters(
    case: SimulationCase, batch: Batch, sizing: Sizing, sample_range: range, weights: Array
) -> tuple[SimulatedDesigns, Array]:
    """A batch simulated through every winter, and how far the heaters needed keep each above the minimum [K]."""
    designs = len(batch.plans)
    in_samples = np.isin(batch.positions, sample_range)
    drawn = in_samples & (batch.positions != sample_range.start)
    twice = np.flatnonzero(~drawn)
    index = np.concatenate([np.arange(designs), twice])
    needed = np.where(np.isfinite(sizing.needed_w), sizing.needed_w, UNLIMITED_W)
    installed = tuple(heaters_of(plan, float(watts)) for plan, watts in zip(batch.plans, sizing.needed_w, strict=True))
    total = np.where(drawn, needed, _sums(installed))
    watts = np.concatenate([total, needed[twice]])
    request = OutputRequest(weights=weights, damp=bool(twice.size), snapshot_h=snapshot_rows(case.weather))
    control = Control(sizing.setpoint_c[:, index], watts, np.zeros(len(watts)))
    run = simulate_parallel(
        batch.network.take(index),
        case.forcing,
        control,
        batch.floor_c[index],
        request=request,
        executor=SerialExecutor(),
    )
    with_needed = run.coldest_c[:designs].copy()
    with_needed[twice] = run.coldest_c[designs:]
    known = np.isfinite(sizing.needed_w)[:, None]
    margins = np.where(known, with_needed - batch.floor_c[:, None] + ROUNDING_K, 0.0)
    present = _sums(tuple(plan.heater.units_w or units for plan, units in zip(batch.plans, installed, strict=True)))
    simulated = SimulatedDesigns(
        plans=batch.plans,
        positions=batch.positions,
        sizing=sizing,
        run=run,
        unheated_c=_coldest_without_heat(batch, np.flatnonzero(in_samples)),
        outage_h=hours_to_minimum(batch, sizing.setpoint_c, present, run.snapshot_c[:, :, :designs]),
    )
    return simulated, margins


def _coldest_without_heat(batch: Batch, index: Array) -> Array:
    """Coldest tank of some designs without a heater, in the coldest winters, (design,). [degC] NaN for the others."""
    unheated_c = np.full(len(batch.plans), np.nan)
    if index.size:
        part = batch.part(index)
        none, weather = np.zeros(len(index)), take_winters(batch.weather, coldest_winters(batch.weather))
        control = Control(np.zeros((24, len(index))), none, none)
        run = simulate_parallel(part.network, weather.forcing, control, part.floor_c, executor=SerialExecutor())
        unheated_c[index] = run.coldest_c.min(axis=1)
    return unheated_c


def _sums(installed: tuple[tuple[float, ...], ...]) -> Array:
    """Power of each design's heaters together. [W]"""
    return np.array([sum(units) for units in installed], dtype=float)


def heaters_of(plan: Plan, needed_w: float, margin: float | None = None) -> tuple[float, ...]:
    """Heaters that a design has installed: those owned if they are enough, or else those to buy. [W]

    Parameters
    ----------
    plan : Plan
        The design.
    needed_w : float
        Power that it needs [W].
    margin : float, optional
        Power to buy over that needed, from samples of the base [-].
    """
    owned = plan.heater.units_w
    if sum(owned) >= needed_w or not np.isfinite(needed_w):
        return owned if needed_w > 0 else ()
    return heaters_to_buy(watts_to_buy(plan, needed_w, margin and margin * needed_w), supply_of(plan))


def _design_result(
    case: SimulationCase, designs: SimulatedDesigns, i: int, median: int, calendar: _Calendar
) -> DesignResult:
    """The result of one simulated design."""
    run, plan = designs.run, designs.plans[i]
    power, labels, weather = case.plan.power, calendar.labels, case.weather
    costs = [
        _month_costs(power, designs, i, winter, times, len(labels[winter]))
        for winter, times in enumerate(calendar.times)
    ]
    _, worst = median_and_worst(weather, run.heater_j[i])
    complete = complete_winters(weather)
    kwh = monthly_kwh(run.marked_j[:, i, median], len(labels[median]))
    needed = float(designs.sizing.needed_w[i])
    damp = run.damp_h[:, i, median] if run.damp_h.size else (np.nan, np.nan)
    owned = plan.heater.units_w
    return DesignResult(
        needed_w=_finite_or_none(needed),
        setpoint_c=float(designs.sizing.rare_setpoint_c[:, i].min()),
        installed_w=(),
        owned_holds=sum(owned) >= needed if owned else None,
        peak_w=float(run.peak_w[i].max()),
        coldest_c=float(run.coldest_c[i].min()),
        kwh=float(run.heater_j[i, median] / JOULES_PER_KWH),
        cost=float(costs[median].sum()),
        worst_kwh=float(run.heater_j[i, worst] / JOULES_PER_KWH),
        worst_cost=float(costs[worst].sum()),
        winter_kwh=tuple(float(run.heater_j[i, winter] / JOULES_PER_KWH) for winter in complete),
        winter_costs=tuple(float(costs[winter].sum()) for winter in complete),
        months=tuple((month, float(kwh[m]), float(costs[median][m])) for m, month in enumerate(labels[median])),
        outage_h=_finite_or_none(designs.outage_h[i]),
        condensation_h=float(damp[0]),
        mould_h=float(damp[1]),
        load_w=0.0,
        fits=None,
        closure=float(max(run.closure[i].max(), designs.sizing.unlimited.closure[i].max())),
        floor_c=plan.keep.floor_c,
        coldest_unheated_c=_finite_or_none(designs.unheated_c[i]),
        weighted=tuple(
            tuple(
                tuple(monthly_kwh(marked[:, i, winter], len(months)).tolist()) for winter, months in enumerate(labels)
            )
            for marked in run.weighted_j[1:]
        ),
    )


def replace_heaters(result: DesignResult, plan: Plan, margin: float | None) -> DesignResult:
    """A result with the heaters that the design has installed, and their load on the circuits.

    Parameters
    ----------
    result : DesignResult
        The result.
    plan : Plan
        The design.
    margin : float or None
        Power to buy over that needed, from samples of the base [-].
    """
    heaters = heaters_of(plan, np.inf if result.needed_w is None else result.needed_w, margin)
    load = sum(heaters) + plan.electric_w
    return replace(result, installed_w=heaters, load_w=load, fits=fits_given_circuits(heaters, plan))


def _finite_or_none(value: float) -> float | None:
    """A number, or None where it is infinite or NaN."""
    return float(value) if np.isfinite(value) else None


def _month_costs(
    power: Power, designs: SimulatedDesigns, i: int, winter: int, times: pd.DatetimeIndex, months: int
) -> Array:
    """Cost of each month of a winter. [currency]"""
    kwh = monthly_kwh(designs.run.marked_j[:, i, winter], months)
    paid = monthly_kwh(designs.run.weighted_j[0, :, i, winter], months)
    taken = other_months(designs.plans[i], times) if power.tiers else np.zeros(months)
    return tariff.month_costs(power, kwh, paid, taken)
