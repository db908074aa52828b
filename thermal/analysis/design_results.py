"""Many designs simulated: heater needed, energy, cost, power outage and moisture of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from thermal.analysis.case import Batch, SimulationCase, group_by_topology
from thermal.analysis.circuit import supply_of
from thermal.analysis.circuit_layout import fits_given_circuits
from thermal.analysis.comparison_results import DesignResult
from thermal.analysis.drying_results import drying_of_design, paid_run
from thermal.analysis.heater_sizing import ROUNDING_K, UNLIMITED_W, Sizing, size_heaters, verify_on_winters
from thermal.analysis.heater_units import heaters_to_buy, watts_to_buy
from thermal.analysis.outage_hours import hours_to_minimum, snapshot_rows
from thermal.analysis.winter_columns import (
    NO_WINTER,
    SampleDesigns,
    WinterColumns,
    every_winter,
    join_columns,
    some_winters,
)
from thermal.analysis.winter_pieces import MOST_IN_PIECES, summaries_in_pieces, summaries_of_winters
from thermal.analysis.winter_totals import (
    JOULES_PER_KWH,
    complete_winters,
    median_and_worst,
    monthly_kwh,
    other_months,
    price_weights,
    weights_of_devices,
)
from thermal.climate.cold_spells import coldest_winters, hardest_winters
from thermal.core.arrays import Array
from thermal.core.parallel import BLOCK_COLUMNS
from thermal.network.model import Control
from thermal.plan import tariff
from thermal.plan.model import Plan, Power
from thermal.solver.results import NOTHING, OutputRequest, SimulationResult

NO_SAMPLES = SampleDesigns()


@dataclass(frozen=True)
class _Calendar:
    """Month labels and hours of each winter."""

    labels: list[list[str]]
    times: list[pd.DatetimeIndex]


@dataclass(frozen=True)
class SimulatedDesigns:
    """Designs of one network topology, simulated through their winters.

    Attributes
    ----------
    plans : tuple of Plan
        The designs.
    positions : Array of int, shape (design,)
        Their numbers among all designs asked for.
    sizing : Sizing
        The heater that each needs.
    own_winter : Array of int, shape (design,)
        Winter of each sample; `NO_WINTER` for other designs.
    run : SimulationResult
        Simulation of the designs with about the heaters to buy, samples with those needed; NaN in the winters that a
        sample is not simulated in.
    unheated_c : Array, shape (design,)
        Coldest tank without a heater, in the coldest winters [degC]; NaN where it was not simulated.
    outage_h : Array, shape (design,)
        Time from the worst power cut until the tank is at its minimum [h]; infinite if longer than a week.
    pays_drying : Array of bool, shape (design,)
        Whether energy and cost include those of devices that dry the air: not in samples, as in `run`.
    """

    plans: tuple[Plan, ...]
    positions: Array
    own_winter: Array
    sizing: Sizing
    run: SimulationResult
    unheated_c: Array
    outage_h: Array
    pays_drying: Array


def design_results(
    case: SimulationCase, plans: Sequence[Plan], samples: SampleDesigns = NO_SAMPLES, weights: Array | None = None
) -> list[DesignResult]:
    """Heater, energy, cost, power outage and moisture of every plan.

    Parameters
    ----------
    case : SimulationCase
        The base plan and its climate.
    plans : sequence of Plan
        Variants of the plan; the first is the base, whose typical winter is used for all.
    samples : SampleDesigns
        The uncertainty samples. They have the topology of the base, and are also simulated without a heater.
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
    in_pieces = not samples.numbers and 2 * len(plans) * len(case.weather.winters) <= MOST_IN_PIECES
    return results_of(case, simulate_designs(case, plans, np.arange(len(plans)), samples, weights, in_pieces))


def simulate_designs(
    case: SimulationCase,
    plans: Sequence[Plan],
    positions: Array,
    samples: SampleDesigns = NO_SAMPLES,
    weights: Array | None = None,
    in_pieces: bool = True,
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
    samples, weights
        As in `design_results`.
    in_pieces : bool
        Whether winters are cut into pieces, which saves time for few designs; not for samples.

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
    topologies = group_by_topology(plans, case.weather)
    numbered = [replace(batch, positions=positions[batch.positions]) for batch in topologies]
    return [_simulate_batch(case, batch, samples, all_weights, in_pieces) for batch in numbered]


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


def _simulate_batch(
    case: SimulationCase, batch: Batch, samples: SampleDesigns, weights: Array, in_pieces: bool
) -> SimulatedDesigns:
    """Size the heaters of a batch and simulate it through every winter.

    The heaters needed come from the cold spells only. Where one is too small for a whole winter, it is sized on whole
    winters and the batch is simulated again.
    """
    sizing = size_heaters(batch, case.design)
    result, margins = _through_winters(case, batch, sizing, samples, weights, in_pieces)
    if (margins < 0).any():
        sizing = verify_on_winters(batch, sizing, margins)
        result, _ = _through_winters(case, batch, sizing, samples, weights, in_pieces)
    return result


def _through_winters(
    case: SimulationCase, batch: Batch, sizing: Sizing, samples: SampleDesigns, weights: Array, in_pieces: bool
) -> tuple[SimulatedDesigns, Array]:
    """A batch simulated through its winters, and how far the heaters needed keep each above the minimum [K].

    One simulation has the heaters to buy, or of samples those needed; those needed in the hardest winters; and samples
    without a heater in the coldest winters.
    """
    designs, weather = len(batch.plans), batch.weather
    in_samples, own_winter = samples.includes(batch.positions), samples.winter_of_samples(batch.positions)
    needed = np.where(np.isfinite(sizing.needed_w), sizing.needed_w, UNLIMITED_W)
    installed = tuple(heaters_of(plan, float(watts)) for plan, watts in zip(batch.plans, sizing.needed_w, strict=True))
    total = np.where(own_winter == NO_WINTER, _sums(installed), needed)
    heated = every_winter(own_winter, weather)
    with_needed = some_winters(np.flatnonzero(own_winter == NO_WINTER), hardest_winters(weather))
    unheated = some_winters(np.flatnonzero(in_samples), coldest_winters(weather))
    watts = total[heated.design], needed[with_needed.design], np.zeros(len(unheated.design))
    parts = list(zip((heated, with_needed, unheated), watts, strict=True))
    request = OutputRequest(weights, weights_of_devices(weights), not in_samples.all(), snapshot_rows(weather))
    run, coldest = _simulate_parts(batch, sizing, parts, request, in_pieces)
    shape = designs, len(weather.winters)
    tables: dict[str, Any] = {name: heated.table(values, shape) for name, values in run.items()}
    through = SimulationResult(**tables)
    at_needed, without = with_needed.table(coldest[0], shape), unheated.table(coldest[1], shape)
    coldest_c = np.where((own_winter == NO_WINTER)[:, None], at_needed, through.coldest_c)
    known = np.isfinite(sizing.needed_w)[:, None]
    margins = np.where(known, coldest_c - batch.floor_c[:, None] + ROUNDING_K, 0.0)
    present = _sums(tuple(plan.heater.units_w or units for plan, units in zip(batch.plans, installed, strict=True)))
    simulated = SimulatedDesigns(
        plans=batch.plans,
        positions=batch.positions,
        own_winter=own_winter,
        sizing=sizing,
        run=replace(through, snapshot_c=through.snapshot_c[:0]),
        unheated_c=np.fmin.reduce(without, axis=1),
        outage_h=hours_to_minimum(batch, sizing.setpoint_c, present, through.snapshot_c),
        pays_drying=~in_samples,
    )
    return simulated, margins


def _simulate_parts(
    batch: Batch, sizing: Sizing, parts: list[tuple[WinterColumns, Array]], request: OutputRequest, in_pieces: bool
) -> tuple[dict[str, Array], list[Array]]:
    """Results of the first columns with their watts, by name, and the coldest water of each of the others [degC].

    Few columns are simulated together. Many cost the same in simulations of their own, in which only the first keep
    what is asked for. Of the others those are left out whose heater is no smaller than what the same design took in
    the same winter with the first: they would do the same.
    """
    sizes = [len(columns.design) for columns, _ in parts]
    if sum(sizes) <= BLOCK_COLUMNS:
        columns, watts = join_columns([part for part, _ in parts]), np.concatenate([watts for _, watts in parts])
        run = _simulate_columns(batch, sizing, columns, watts, request, in_pieces)
        index = np.split(np.arange(sum(sizes)), np.cumsum(sizes[:-1]))
        return {name: values[..., index[0]] for name, values in run.items()}, [run["coldest_c"][i] for i in index[1:]]
    (first, first_w), *others = parts
    run = _simulate_columns(batch, sizing, first, first_w, request, in_pieces)
    shape = len(batch.plans), len(batch.weather.winters)
    known_w, peak_w, known_c = (first.table(values, shape) for values in (first_w, run["peak_w"], run["coldest_c"]))
    coldest = []
    for columns, watts in others:
        place = columns.design, columns.winter
        same = (watts <= known_w[place]) & (watts >= peak_w[place])
        coldest_c, left = known_c[place], np.flatnonzero(~same)
        if left.size:
            rest = WinterColumns(columns.design[left], columns.winter[left])
            coldest_c[left] = _simulate_columns(batch, sizing, rest, watts[left], NOTHING, in_pieces)["coldest_c"]
        coldest.append(coldest_c)
    return run, coldest


def _simulate_columns(
    batch: Batch, sizing: Sizing, columns: WinterColumns, watts: Array, request: OutputRequest, in_pieces: bool
) -> dict[str, Array]:
    """Results of each column of a batch with a heater of some watts, by their names in `SimulationResult`."""
    design, floor_c = columns.design, batch.floor_c[columns.design]
    network, control = batch.network.take(design), Control(sizing.setpoint_c[:, design], watts, np.zeros(len(watts)))
    summaries = summaries_in_pieces if in_pieces else summaries_of_winters
    return summaries(network, batch.weather, control, floor_c, request, columns.winter)


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
    """The result of one simulated design; a sample's winter is its own, in place of the median."""
    median = median if designs.own_winter[i] == NO_WINTER else int(designs.own_winter[i])
    designs = replace(designs, run=paid_run(designs.run, designs.plans[i], designs.pays_drying[i]))
    run, plan, labels, complete = designs.run, designs.plans[i], calendar.labels, complete_winters(case.weather)
    simulated = [winter for winter in complete if np.isfinite(run.heater_j[i, winter])]
    costs = {
        winter: _month_costs(case.plan.power, designs, i, winter, calendar.times[winter], len(labels[winter]))
        for winter in {*simulated, median}
    }
    worst = max(simulated, key=lambda winter: run.heater_j[i, winter])
    kwh = monthly_kwh(run.marked_j[:, i, median], len(labels[median]))
    needed, owned = float(designs.sizing.needed_w[i]), plan.heater.units_w
    return DesignResult(
        needed_w=_finite_or_none(needed),
        setpoint_c=float(designs.sizing.rare_setpoint_c[:, i].min()),
        installed_w=(),
        owned_holds=sum(owned) >= needed if owned else None,
        peak_w=float(np.nanmax(run.peak_w[i])),
        coldest_c=float(np.nanmin(run.coldest_c[i])),
        kwh=float(run.heater_j[i, median] / JOULES_PER_KWH),
        cost=float(costs[median].sum()),
        worst_kwh=float(run.heater_j[i, worst] / JOULES_PER_KWH),
        worst_cost=float(costs[worst].sum()),
        winter_kwh=tuple(float(run.heater_j[i, winter] / JOULES_PER_KWH) for winter in simulated),
        winter_costs=tuple(float(costs[winter].sum()) for winter in simulated),
        months=tuple((month, float(kwh[m]), float(costs[median][m])) for m, month in enumerate(labels[median])),
        outage_h=_finite_or_none(designs.outage_h[i]),
        condensation_h=float(run.damp_h[0, i, median]),
        mould_h=float(run.damp_h[1, i, median]),
        load_w=0.0,
        fits=None,
        closure=float(max(np.nanmax(run.closure[i]), designs.sizing.closure[i])),
        floor_c=plan.keep.floor_c,
        coldest_unheated_c=_finite_or_none(designs.unheated_c[i]),
        weighted=tuple(
            tuple(
                tuple(monthly_kwh(marked[:, i, winter], len(months)).tolist()) for winter, months in enumerate(labels)
            )
            for marked in run.weighted_j[1:]
        ),
        drying=drying_of_design(plan, run, i, median),
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
