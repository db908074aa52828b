"""The march: all designs and winters side by side, one implicit step after the other.

Every hour takes the mean outdoor conditions of that hour; energy is conserved and checked in every run.
Column i of a batch equals the march of design i alone. Reductions are kept, not histories; a trace keeps the
hours of small batches.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from thermal.core.aligned import padded_indices
from thermal.core.arrays import Array, Precision
from thermal.errors import ClosureError
from thermal.network.model import Control, Forcing, Network
from thermal.solver.energy_balance import EnergyBalance
from thermal.solver.hourly_output import HourlyOutput, HourlyRecorder
from thermal.solver.setup import initial_state, steady_initial_state, time_stepper
from thermal.solver.state import Day, DayInputs, State, blank_day
from thermal.solver.summary_output import OutputRequest, SummaryRecorder
from thermal.solver.time_step import (
    COSINE,
    HOUR_S,
    UPDATE_SCHEDULE,
    UPDATE_SCHEDULE_FIRST_DAY,
    TimeStepper,
    UpdateInterval,
)

NOTHING = OutputRequest()


@dataclass(frozen=True)
class SimulationResult:
    """What a march found; arrays of shape (design, winter) unless said otherwise.

    Attributes
    ----------
    coldest_c, warmest_c : Array
        Of the watched water: the tank's.
    hours_below : Array
        Hours below the floor.
    heater_j, peak_w : Array
        Heat put in, and the largest hourly power.
    marked_j : Array, shape (mark, design, winter)
        Heat put in by each mark.
    weighted_j : Array, shape (weight, mark, design, winter)
        The same, each hour times a weight of the `OutputRequest`.
    damp_h : Array, shape (2, design, winter)
        Hours of condensation and of mould; zero unless watched.
    snapshot_c : Array, shape (snapshot, node, design, winter)
        Temperatures at the watched rows.
    first_below_h : Array
        Hours from the drive's first row until the watched water is below the floor; infinite if never or unwatched.
    closure : Array
        |in - out - stored| over the heat that passed through, spin-up included.
    """

    coldest_c: Array
    warmest_c: Array
    hours_below: Array
    heater_j: Array
    peak_w: Array
    marked_j: Array
    weighted_j: Array
    damp_h: Array
    snapshot_c: Array
    first_below_h: Array
    closure: Array
    hourly_output: HourlyOutput | None = None

    def take(self, index: Array) -> SimulationResult:
        """The designs picked by an index array, without their trace: the last axis but one of every array."""
        every = {one.name: getattr(self, one.name) for one in fields(self) if one.name != "hourly_output"}
        return SimulationResult(**{name: values[..., index, :] for name, values in every.items()})


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
) -> SimulationResult:
    """March every design through every winter.

    Parameters
    ----------
    network : Network
        D designs.
    drive : Drive
        W winters of hourly means.
    control : Control
        The heater of each design, in the last node.
    floor_c : Array or float, shape (D,)
        Below which the watched water counts as too cold [degC].
    substeps : int
        Steps an hour; 1 is enough for water, a bare room without air capacity wants 60.
    trace : bool
        Keep every hour (memory: hours x nodes x columns).
    start_c : Array, shape (node, D) or (node, D, W)
        Start temperatures [degC]; without them a near-steady state of the first weather.
    watch : Watch
        What else to keep of every column.

    Returns
    -------
    Run

    Raises
    ------
    ClosureError
        When the energy ledger of any column does not close to 1e-6 of the heat that passed.
    """
    given = network, forcing, control, floor_c, substeps, hourly_output, start_c, request
    if substeps == 1 and network.vessels is not None:
        try:
            return _simulate_in(*given, np.float32)
        except ClosureError:
            pass  # so little passes that single precision cannot tell it from what stays
    return _simulate_in(*given, float)


def _simulate_in(
    network: Network,
    forcing: Forcing,
    control: Control,
    floor_c: Array | float,
    substeps: int,
    hourly_output: bool,
    start_c: Array | None,
    request: OutputRequest,
    precision: Precision,
) -> SimulationResult:
    """`simulate` in one precision: single will do for hourly steps of water, shorter steps want double."""
    winters = len(forcing.end_h)
    every = (
        np.arange(network.designs) if hourly_output else padded_indices(network.designs, winters)
    )  # a trace has no column over
    design, winter = np.repeat(every, winters), np.tile(np.arange(winters), len(every))
    wide, held = network.take(design), control.take(design)
    floor = np.broadcast_to(np.asarray(floor_c, dtype=float), (network.designs,))[design]
    channels = forcing.channels()
    weather_of = channels.astype(precision)
    stepper = time_stepper(wide, HOUR_S / substeps, forcing.pressure_pa, precision)
    if start_c is None:
        state = steady_initial_state(wide, forcing, held, winter, precision)
    else:
        start_c = start_c[:, design] if start_c.ndim == 2 else start_c[:, design, winter]
        state = initial_state(wide, start_c, channels[0][:, winter], precision)
    stepper.bind_state(state)
    energy_balance = EnergyBalance(stepper, state, floor, len(forcing.marks))
    hourly = HourlyRecorder(substeps) if hourly_output else None
    summary = SummaryRecorder(request, wide, forcing, winter, floor)
    always = held.min_w.astype(precision), held.max_w.astype(precision)
    keep = hourly_output or request.damp or stepper.wants_means
    first_segments, segments = (
        _schedule_segments(stepper, update_intervals, held.varies)
        for update_intervals in (UPDATE_SCHEDULE_FIRST_DAY, UPDATE_SCHEDULE)
    )
    day = blank_day(wide, 24 * substeps, len(stepper.inflow.each), keep, stepper.source_terms.booked, precision)
    for h in range(0, int(forcing.end_h.max()), 24):
        if h == forcing.spin_up_h:
            energy_balance.start_winter()
            if hourly:
                hourly.start(state)
        stepper.shift_reference(state)
        summary.before(state, h)
        today = replace(held, setpoint_c=held.setpoint_c[h : h + 24]) if len(held.setpoint_c) > 24 else held
        weather, season = weather_of[h : h + 24, stepper.hourly], weather_of[h, COSINE:]
        if winters > 1:
            weather, season = weather.take(winter, axis=-1), season.take(winter, axis=-1)
        limits = always if held.given_w is None else (held.given_w[h : h + 24].astype(precision),) * 2
        day_inputs = stepper.day_inputs(state, weather, season)
        _simulate_day(stepper, state, day_inputs, segments if h else first_segments, today, limits, day, substeps)
        energy_balance.add(day, state, weather)
        if energy_balance.counting:
            summary.add(day, state, weather, h, stepper.dt_s)
            if hourly:
                hourly.add(day, state, stepper.water_nodes)
        energy_balance.note(h + 24, forcing, winter)
        summary.note(h + 24)
    hours = int(forcing.end_h.max())
    found = {**energy_balance.closed(state, forcing, winter, hours), **summary.found}
    shape, own = (len(every), winters), slice(network.designs)
    shaped = {name: values.reshape(*values.shape[:-1], *shape)[..., own, :] for name, values in found.items()}
    return SimulationResult(**shaped, hourly_output=hourly.hourly_output() if hourly else None)


class ScheduleSegment(NamedTuple):
    """Hours of a day that share a term, and what changes as they begin."""

    hours: range
    interval: UpdateInterval | None  # that begins then
    switches: bool  # any pump


def _schedule_segments(
    stepper: TimeStepper, update_intervals: dict[int, UpdateInterval], varies: bool
) -> list[ScheduleSegment]:
    """A day's turns; every hour is one where the heater's orders vary."""
    kind, switching = stepper.source_terms.kind, stepper.switching
    starts = [h for h in range(24) if varies or h in update_intervals or switching[h] or kind[h] != kind[h - 1]]
    return [ScheduleSegment(range(a, b), update_intervals.get(a), switching[a]) for a, b in pairwise((*starts, 24))]


def _simulate_day(
    stepper: TimeStepper,
    state: State,
    day_inputs: DayInputs,
    segments: list[ScheduleSegment],
    control: Control,
    limits: tuple[Array, Array],
    day: Day,
    substeps: int,
) -> None:
    """The steps of one day, written to `day`.

    Parameters
    ----------
    known : Known
        Its weather, and what follows from that.
    turns : list of Turn
        From its first hour to its last.
    limits : pair of Array, shape (column,) or (24, column)
        Least and most heat. [W]
    """
    hourly = control.given_w is not None
    day.ice_j.clear()
    day.exchanges.clear()
    day.freezing_j[:] = 0.0
    day.mean_sum[:] = 0.0
    day.vapour_w[:] = 0.0
    for hours, interval, switches in segments:
        hour = hours.start
        if switches:
            stepper.apply_pump_switch(state, hour)
        if interval is not None:
            fixed = stepper.update_coefficients(state, day_inputs, interval)
            stepper.precompute_humidity(fixed.water, state, day_inputs, interval, day, hour * substeps)
        elif switches:
            fixed = stepper.factored(fixed.water, state, hour)
        if fixed.water is not None:
            day.exchanges.extend([fixed.water] * len(hours))
        if hour == 0 or control.varies:
            low, high = (limit[hour] if hourly else limit for limit in limits)
            thermostat_target = stepper.thermostat_target(state, control.setpoint_c[hour], low, high)
        segment_coefficients = stepper.segment_coefficients(fixed, state, day_inputs, hour, thermostat_target)
        stepper.advance(segment_coefficients, state, day, range(hour * substeps, hours.stop * substeps))
    np.add.reduce(day.all_watts, axis=0, out=day.watts_sum)
