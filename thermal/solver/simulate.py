"""The simulation: all designs and winters side by side, one implicit step after the other.

Every hour takes the mean outdoor conditions of that hour; energy is conserved and checked in every run.
Column i of a batch equals the simulation of design i alone. Reductions are kept, not histories; hourly output keeps
the hours of small batches. Large batches are cut into blocks, plain values that any executor can take.
"""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from thermal.climate.forcing import SEASON, WIND, Forcing, means
from thermal.core.arrays import Array, Precision
from thermal.core.parallel import Progress, SerialExecutor, no_progress, split_evenly, worker_count
from thermal.errors import INTERNAL, ClosureError
from thermal.network.model import Control, Network, without_daily_changes
from thermal.solver.air_leakage import book_leak, interval_means, leak_channels
from thermal.solver.coefficient_update import (
    LONGEST_INTERVAL_H,
    apply_pump_switch,
    factorise,
    precompute_humidity,
    update_coefficients,
    update_intervals,
    update_schedule,
)
from thermal.solver.energy_balance import CLOSURE_LIMIT, EnergyBalance
from thermal.solver.hourly_output import HourlyRecorder
from thermal.solver.results import NOTHING, OutputRequest, SimulationResult, join_results
from thermal.solver.setup import blank_day, initial_state, prepare_network
from thermal.solver.state import HOUR_S, Day, DayInputs, Leak, PreparedNetwork, Segment, State, UpdateInterval
from thermal.solver.summary_output import SummaryRecorder
from thermal.solver.time_step import (
    advance,
    bind_state,
    day_inputs,
    shift_reference,
    thermostat_target,
)

STEADY_STEPS, STEADY_H = 12, 2400  # to a steady state; steps of 10 days leave some of the guess in much water
GUESS_C = 10.0  # of every node, before those steps


def simulate(
    network: Network,
    forcing: Forcing,
    control: Control,
    floor_c: Array | float,
    *,
    substeps: int = 1,
    hourly_output: bool = False,
    start_c: Array | None = None,
    request: OutputRequest = NOTHING,
    winter: Array | None = None,
) -> SimulationResult:
    """Simulate every design through every winter, or through the one of its own.

    Parameters
    ----------
    network : Network
        D designs.
    forcing : Forcing
        W winters of hourly means.
    control : Control
        The heater of each design, in the last node.
    floor_c : Array or float, shape (D,)
        Minimum water temperature, below which the watched water counts as too cold [degC].
    substeps : int
        Steps an hour; 1 is enough for water, a bare room without air capacity wants 60.
    hourly_output : bool
        Keep every hour (memory: hours x nodes x columns).
    start_c : Array, shape (node, D) or (node, D, W)
        Start temperatures [degC]; without them those of `starting_state`.
    request : OutputRequest
        What else to keep of every column.
    winter : Array of int, shape (D,), optional
        The one winter that each design runs, by its index. Results then have one winter.

    Returns
    -------
    SimulationResult

    Raises
    ------
    ClosureError
        When the energy balance of any column does not close to 1e-6 of the heat that passed.
    """
    designs = network.designs
    columns = _every_column(designs, len(forcing.end_h)) if winter is None else (np.arange(designs), winter)
    options = substeps, hourly_output
    given = network, forcing, control, floor_c, *options, start_c, request, columns
    hourly_steps_of_water = substeps == 1 and network.vessels is not None
    result = _simulate_in(*given, np.float32 if hourly_steps_of_water else float)
    doubtful = np.flatnonzero(~(result.closure < CLOSURE_LIMIT))
    if hourly_steps_of_water and doubtful.size:  # so little heat passes that single precision cannot tell it from none
        design, own = (index[doubtful] for index in columns)
        if start_c is not None:
            start_c = (start_c[:, columns[0]] if start_c.ndim == 2 else start_c.reshape(len(start_c), -1))[:, doubtful]
        floor_c = np.broadcast_to(np.asarray(floor_c, dtype=float), (designs,))[design]
        wanted, alone = replace(request, hourly_columns=None), (np.arange(len(doubtful)), own)
        part = network.take(design), forcing, control.take(design), floor_c, *options, start_c, wanted, alone
        result.put_columns(doubtful, _simulate_in(*part, float))
    if not (result.closure < CLOSURE_LIMIT).all():
        worst = np.max(result.closure)
        raise ClosureError(
            f"{INTERNAL} energy balance is off by {worst:.2e} of the heat exchanged. Please report it with your plan."
        )
    return result


def _every_column(designs: int, winters: int) -> tuple[Array, Array]:
    """Design and winter of each column of a batch in which every design runs through every winter."""
    return np.repeat(np.arange(designs), winters), np.tile(np.arange(winters), designs)


def _simulate_in(
    network: Network,
    forcing: Forcing,
    control: Control,
    floor_c: Array | float,
    substeps: int,
    hourly_output: bool,
    start_c: Array | None,
    request: OutputRequest,
    columns_of_batch: tuple[Array, Array],
    precision: Precision,
) -> SimulationResult:
    """`simulate` in one precision, its closure not yet judged; the columns of the batch by design and winter."""
    design, winter = columns_of_batch
    columns, control = network.take(design), control.take(design)
    floor = np.broadcast_to(np.asarray(floor_c, dtype=float), (network.designs,))[design]
    prepared = prepare_network(columns, HOUR_S / substeps, forcing.pressure_pa, precision)
    channels, leak_of = forcing.channels(), leak_channels(prepared, forcing)
    weather_of = channels.astype(precision)
    if start_c is None:
        state = starting_state(columns, forcing, control, winter, precision)
    else:
        start_c = start_c[:, design] if start_c.ndim == 2 else start_c.reshape(len(start_c), -1)
        state = initial_state(columns, start_c, channels[0][:, winter], precision)
    bind_state(prepared, state)
    columns_of = forcing.chosen_columns(prepared.gains.columns).astype(precision)
    energy_balance = EnergyBalance(prepared, state, floor, len(forcing.marks))
    hours = int(forcing.end_h.max())
    hourly = _hourly_recorder(request, forcing, substeps) if hourly_output else None
    summary = SummaryRecorder(request, columns, forcing, winter, floor)
    day = blank_day(
        prepared,
        24 * substeps,
        LONGEST_INTERVAL_H * substeps,
        (hourly is not None and hourly.needs_every_step) or request.damp or prepared.needs_every_step,
    )
    first_schedule, later_schedule = (update_schedule(network, first) for first in (True, False))
    for h in range(0, hours, 24):
        if h == forcing.spin_up_h:
            energy_balance.start_winter()
            if hourly:
                hourly.start(state)
        shift_reference(prepared, state)
        summary.before(state, h)
        schedule = first_schedule if h == 0 else later_schedule
        weather, season, gains = weather_of[h : h + 24, :WIND], weather_of[h, SEASON:], columns_of[h : h + 24]
        leak = interval_means(leak_of[h : h + 24], schedule)
        if len(forcing.end_h) > 1:
            weather, season, gains, leak = (values.take(winter, axis=-1) for values in (weather, season, gains, leak))
        inputs = day_inputs(prepared, state, weather, season, gains, leak)
        orders = HeaterOrders.of_day(control, columns.heater_share, h, precision)
        _simulate_day(prepared, state, inputs, schedule, orders, day, substeps)
        energy_balance.add(day, state)
        if energy_balance.counting:
            summary.add(day, state, weather, h, prepared.dt_s)
            if hourly:
                hourly.add(day, state, prepared.water_nodes)
        energy_balance.note(h + 24, forcing, winter)
        summary.note(h + 24)
    arrays = {**energy_balance.results(state, forcing, winter, hours), **summary.results}
    shape = network.designs, len(winter) // network.designs
    by_winter = {name: values.reshape(*values.shape[:-1], *shape) for name, values in arrays.items()}
    return SimulationResult(**by_winter, hourly_output=hourly.hourly_output() if hourly else None)


def _hourly_recorder(request: OutputRequest, forcing: Forcing, substeps: int) -> HourlyRecorder:
    """What keeps the hours that are asked for."""
    hours = int(forcing.end_h.max()) - forcing.spin_up_h
    return HourlyRecorder(substeps, hours, request.hourly, request.hourly_columns)


class HeaterOrders(NamedTuple):
    """Setpoint and limits of the heater by hour of a day; lists of 24 arrays of shape (column,)."""

    setpoint_c: Array  # (24, column)
    min_w: list[Array]
    max_w: list[Array]
    varies: bool  # from hour to hour
    cool_above_c: Array | None = None  # (column,): setpoint of the cooler, where it has its own

    @classmethod
    def of_day(cls, control: Control, share: Array | None, h: int, precision: Precision) -> HeaterOrders:
        """The orders of the day that begins at row h of the forcing.

        Parameters
        ----------
        control : Control
            Thermostat and limits of each heater.
        share : Array, shape (24, column), or None
            As `Network.heater_share`.
        h : int
            Row of the forcing.
        precision : type
            numpy.float32 or float.
        """
        setpoint = control.setpoint_c[h : h + 24] if len(control.setpoint_c) > 24 else control.setpoint_c
        if control.given_w is not None:
            given = list(control.given_w[h : h + 24].astype(precision))
            return cls(setpoint, given, given, control.varies)
        if share is not None:
            least, most = (list((share * watts).astype(precision)) for watts in (control.min_w, control.max_w))
            return cls(setpoint, least, most, True, control.cool_above_c)
        low, high = control.min_w.astype(precision), control.max_w.astype(precision)
        return cls(setpoint, [low] * 24, [high] * 24, control.varies, control.cool_above_c)


def _simulate_day(
    prepared: PreparedNetwork,
    state: State,
    inputs: DayInputs,
    schedule: dict[int, UpdateInterval],
    orders: HeaterOrders,
    day: Day,
    substeps: int,
) -> None:
    """The steps of one day, written to `day`: what an hour needs, in the order it is worked out."""
    day.ice_j.clear()
    day.exchanges.clear()
    day.leaks.clear()
    for total in (day.freezing_j, day.mean_sum, day.vapour_w):
        total[:] = 0.0
    switches, changes = prepared.pump_switches, prepared.source_changes
    starts = [h for h in range(24) if orders.varies or h in schedule or switches[h] or changes[h]]
    for hour, next_hour in pairwise((*starts, 24)):  # hours that share all this: 13 % of 2,048 designs
        if switches[hour]:
            apply_pump_switch(prepared, state, hour)
        if hour in schedule:
            interval = schedule[hour]
            coefficients = update_coefficients(prepared, state, inputs, interval)
            if coefficients.exchange is not None and coefficients.exchange.leak_w_per_k is not None:
                before_k = day.mean_sum[prepared.leak_row].copy()
                day.leaks.append(Leak(hour, before_k, coefficients.exchange.leak_w_per_k))
            ahead = range(hour * substeps, (hour + interval.hours) * substeps)
            inflow_w = precompute_humidity(prepared, coefficients.exchange, state, inputs, interval, day, ahead)
        elif switches[hour]:
            coefficients = factorise(prepared, coefficients.exchange, state, inputs, hour)
        if coefficients.exchange is not None:
            day.exchanges.extend([coefficients.exchange] * (next_hour - hour))
        if hour == 0 or orders.varies:
            limits = orders.min_w[hour], orders.max_w[hour]
            target = thermostat_target(prepared, state, orders.setpoint_c[hour], limits, orders.cool_above_c)
        steps = range(hour * substeps, next_hour * substeps)
        own = slice(steps.start - ahead.start, steps.stop - ahead.start)
        advance(prepared, coefficients, Segment(hour, steps, inflow_w[own], target), state, day)
    np.add.reduce(day.watts, axis=0, out=day.watts_sum)
    book_leak(prepared, state, inputs, day)


def starting_state(network: Network, forcing: Forcing, control: Control, winter: Array, precision: Precision) -> State:
    """The state to start from: steady under the first row of `Forcing.before`, then through all its rows.

    Without `before` it is the steady state under the mean weather of the spin-up. All ice is taken away.

    Parameters
    ----------
    network : Network
        One column a design.
    forcing : Forcing
        Outdoor conditions of every winter.
    control : Control
        Thermostat and limits of each heater.
    winter : Array, shape (column,)
        Which winter each column runs.
    precision : type
        numpy.float32 or float.
    """
    steady, control = without_daily_changes(network), control.on_timer(network.heater_share)
    spin_up_h = max(forcing.spin_up_h, 24)
    first = forcing.before[0] if forcing.before else means(forcing, slice(spin_up_h), spin_up_h)
    weather = first.channels()[0][:, winter].astype(precision)
    state = initial_state(network, np.full_like(network.capacity_j_per_k, GUESS_C), weather, precision)

    def prepare(hours: int) -> PreparedNetwork:
        prepared = prepare_network(steady, HOUR_S * hours, forcing.pressure_pa, precision)
        bind_state(prepared, state)
        return prepared

    _long_steps(prepare(STEADY_H), state, first, control, winter, [0] * STEADY_STEPS)
    for part in forcing.before:
        _long_steps(prepare(part.row_h), state, part, control, winter, range(len(part.outdoor_c)))
    state.ice_j, state.has_ice, state.humidity_ratio = np.zeros_like(state.ice_j), False, state.humidity_ratio.copy()
    return state


def _long_steps(
    prepared: PreparedNetwork, state: State, weather: Forcing, control: Control, winter: Array, rows: Iterable[int]
) -> None:
    """A step through each of some rows of the weather."""
    precision, limits = prepared.precision, (control.min_w, control.max_w)
    channels, leaks = weather.channels().astype(precision), leak_channels(prepared, weather)
    gains = weather.chosen_columns(prepared.gains.columns).astype(precision)
    day, interval = blank_day(prepared, 1, 1, False), update_intervals((0,))[0]  # one as long as the last
    for row in rows:
        outdoors, leak, gain_w = (values[row][None, ..., winter] for values in (channels, leaks, gains))
        every_hour = np.broadcast_to(outdoors, (24, *outdoors.shape[1:]))
        inputs = day_inputs(prepared, state, every_hour, outdoors[0, SEASON:], gain_w, leak)
        coefficients = update_coefficients(prepared, state, inputs, interval)
        inflow_w = precompute_humidity(prepared, coefficients.exchange, state, inputs, interval, day, range(1))
        target = thermostat_target(prepared, state, control.setpoint_c.mean(axis=0), limits, control.cool_above_c)
        advance(prepared, coefficients, Segment(0, range(1), inflow_w, target), state, day)
        shift_reference(prepared, state)


@dataclass(frozen=True)
class Block:
    """Some designs of a study: the arguments of `simulate` as one value."""

    network: Network
    forcing: Forcing
    control: Control
    floor_c: Array
    start_c: Array | None
    request: OutputRequest
    winter: Array | None


def simulate_parallel(
    network: Network,
    forcing: Forcing,
    control: Control,
    floor_c: Array | float,
    *,
    start_c: Array | None = None,
    request: OutputRequest = NOTHING,
    winter: Array | None = None,
    executor: Executor | None = None,
    progress: Progress = no_progress,
) -> SimulationResult:
    """Simulate every design through every winter, or through the one of its own, block by block.

    Parameters
    ----------
    network, forcing, control, floor_c, start_c, request, winter
        As in `simulate`, which gives the same figures.
    executor : Executor, optional
        Where blocks are simulated, for example `thermal.core.parallel.processes`; without one, this process.
    progress : callable
        Wraps the blocks' results as they come, for a progress bar.

    Returns
    -------
    SimulationResult
        Without hourly output.
    """
    floor = np.broadcast_to(np.asarray(floor_c, dtype=float), (network.designs,))
    columns_each = len(forcing.end_h) if winter is None else 1
    shares = split_evenly(network.designs, columns_each, worker_count(executor))
    blocks = (  # each made when its turn comes, so that one at a time takes memory in this process
        Block(
            network.take(index),
            forcing,
            control.take(index),
            floor[index],
            None if start_c is None else start_c[:, index],
            request,
            None if winter is None else winter[index],
        )
        for index in shares
    )
    pool = SerialExecutor() if executor is None or len(shares) == 1 else executor
    results = pool.map(_simulate_block, blocks)
    return join_results(list(progress(results, len(shares))))


def _simulate_block(block: Block) -> SimulationResult:
    return simulate(
        block.network,
        block.forcing,
        block.control,
        block.floor_c,
        start_c=block.start_c,
        request=block.request,
        winter=block.winter,
    )
