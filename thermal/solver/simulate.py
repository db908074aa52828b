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

from thermal.core.aligned import filled
from thermal.core.arrays import Array, Precision
from thermal.errors import ClosureError
from thermal.network.model import Control, Drive, Network
from thermal.solver.energy_balance import Ledger
from thermal.solver.hourly_output import Recorder, Trace
from thermal.solver.setup import settled, stepper, unsettled
from thermal.solver.state import Day, Known, State, blank_day
from thermal.solver.summary_output import Watch, Watcher
from thermal.solver.time_step import COSINE, EVERY_DAY, FIRST_DAY, HOUR_S, Period, Stepper

NOTHING = Watch()


@dataclass(frozen=True)
class Run:
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
        The same, each hour times a weight of the `Watch`.
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
    trace: Trace | None = None

    def take(self, index: Array) -> Run:
        """The designs picked by an index array, without their trace: the last axis but one of every array."""
        every = {one.name: getattr(self, one.name) for one in fields(self) if one.name != "trace"}
        return Run(**{name: values[..., index, :] for name, values in every.items()})


def march(
    network: Network,
    drive: Drive,
    control: Control,
    floor_c: Array | float,
    *,
    substeps: int = 1,
    trace: bool = False,
    start_c: Array | None = None,
    watch: Watch = NOTHING,
) -> Run:
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
    given = network, drive, control, floor_c, substeps, trace, start_c, watch
    if substeps == 1 and network.vessels is not None:
        try:
            return march_in(*given, np.float32)
        except ClosureError:
            pass  # so little passes that single precision cannot tell it from what stays
    return march_in(*given, float)


def march_in(
    network: Network,
    drive: Drive,
    control: Control,
    floor_c: Array | float,
    substeps: int,
    trace: bool,
    start_c: Array | None,
    watch: Watch,
    precision: Precision,
) -> Run:
    """`march` in one precision: single will do for hourly steps of water, shorter steps want double."""
    winters = len(drive.end_h)
    every = np.arange(network.designs) if trace else filled(network.designs, winters)  # a trace has no column over
    design, winter = np.repeat(every, winters), np.tile(np.arange(winters), len(every))
    wide, held = network.take(design), control.take(design)
    floor = np.broadcast_to(np.asarray(floor_c, dtype=float), (network.designs,))[design]
    channels = drive.channels()
    weather_of = channels.astype(precision)
    tool = stepper(wide, HOUR_S / substeps, drive.pressure_pa, precision)
    if start_c is None:
        state = settled(wide, drive, held, winter, precision)
    else:
        start_c = start_c[:, design] if start_c.ndim == 2 else start_c[:, design, winter]
        state = unsettled(wide, start_c, channels[0][:, winter], precision)
    tool.adopt(state)
    ledger = Ledger(tool, state, floor, len(drive.marks))
    recorder = Recorder(substeps) if trace else None
    watcher = Watcher(watch, wide, drive, winter, floor)
    always = held.min_w.astype(precision), held.max_w.astype(precision)
    keep = trace or watch.damp or tool.wants_means
    first_turns, turns = (_turns(tool, periods, held.varies) for periods in (FIRST_DAY, EVERY_DAY))
    day = blank_day(wide, 24 * substeps, len(tool.inflow.each), keep, tool.forcing.booked, precision)
    for h in range(0, int(drive.end_h.max()), 24):
        if h == drive.spin_up_h:
            ledger.start_counting()
            if recorder:
                recorder.start(state)
        tool.rebase(state)
        watcher.before(state, h)
        today = replace(held, setpoint_c=held.setpoint_c[h : h + 24]) if len(held.setpoint_c) > 24 else held
        weather, season = weather_of[h : h + 24, tool.hourly], weather_of[h, COSINE:]
        if winters > 1:
            weather, season = weather.take(winter, axis=-1), season.take(winter, axis=-1)
        limits = always if held.given_w is None else (held.given_w[h : h + 24].astype(precision),) * 2
        known = tool.known(state, weather, season)
        _march_day(tool, state, known, turns if h else first_turns, today, limits, day, substeps)
        ledger.add(day, state, weather)
        if ledger.counting:
            watcher.add(day, state, weather, h, tool.dt_s)
            if recorder:
                recorder.add(day, state, tool.lumps)
        ledger.note(h + 24, drive, winter)
        watcher.note(h + 24)
    hours = int(drive.end_h.max())
    found = {**ledger.closed(state, drive, winter, hours), **watcher.found}
    shape, own = (len(every), winters), slice(network.designs)
    shaped = {name: values.reshape(*values.shape[:-1], *shape)[..., own, :] for name, values in found.items()}
    return Run(**shaped, trace=recorder.trace() if recorder else None)


class Turn(NamedTuple):
    """Hours of a day that share a term, and what changes as they begin."""

    hours: range
    period: Period | None  # that begins then
    switches: bool  # any pump


def _turns(tool: Stepper, periods: dict[int, Period], varies: bool) -> list[Turn]:
    """A day's turns; every hour is one where the heater's orders vary."""
    kind, switching = tool.forcing.kind, tool.switching
    starts = [h for h in range(24) if varies or h in periods or switching[h] or kind[h] != kind[h - 1]]
    return [Turn(range(a, b), periods.get(a), switching[a]) for a, b in pairwise((*starts, 24))]


def _march_day(
    tool: Stepper,
    state: State,
    known: Known,
    turns: list[Turn],
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
    for hours, period, switches in turns:
        hour = hours.start
        if switches:
            tool.switched(state, hour)
        if period is not None:
            fixed = tool.renewed(state, known, period)
            tool.foresee(fixed.water, state, known, period, day, hour * substeps)
        elif switches:
            fixed = tool.factored(fixed.water, state, hour)
        if fixed.water is not None:
            day.exchanges.extend([fixed.water] * len(hours))
        if hour == 0 or control.varies:
            low, high = (limit[hour] if hourly else limit for limit in limits)
            hold = tool.hold(state, control.setpoint_c[hour], low, high)
        term = tool.term(fixed, state, known, hour, hold)
        tool.advance(term, state, day, range(hour * substeps, hours.stop * substeps))
    np.add.reduce(day.all_watts, axis=0, out=day.watts_sum)
