"""The least heater of many designs at once.

Candidates are tried in the cold spells only, from the state that unlimited heat left there; what comes out is then
marched through whole winters, and searched there too if it does not hold. So spells only save time.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from thermal.air import Array
from thermal.climate.spells import SPELL_H, coldest_days, spell_rows
from thermal.climate.winters import excerpt
from thermal.decisions.fleet import Fleet
from thermal.decisions.search import smallest_each
from thermal.march import Run
from thermal.network import Control, Drive
from thermal.study import Steps, silent, studied
from thermal.watch import Watch

TOLERANCE_W = 1.0
TOLERANCE_K = 0.05  # of a room's thermostat
WARMEST_ROOM_ABOVE_K = 30.0  # how far above the thermostat a room may be heated to keep its water
UNLIMITED_W = 1e9
ROUNDING_K = 1e-6  # a thermostat at the floor keeps it to rounding only
SPELL_MARGIN_K = 0.002  # asked of a spell beyond the floor, so that the whole winter seldom disagrees
Margin = Callable[[Array, Array], Array]  # places of designs, candidates (point, place) -> kelvin above the floor


@dataclass(frozen=True)
class Sizing:
    """What a fleet needs.

    Attributes
    ----------
    needed_w : Array, shape (design,)
        Least heater that keeps every hour of every winter at or above the floor; infinite where none does.
    setpoint_c : Array, shape (24, design)
        The thermostat: the water's, or the room's where the room is heated.
    free : Run
        The march with all the heat asked for; its last snapshot is at midnight before each winter's coldest hour.
    """

    needed_w: Array
    setpoint_c: Array
    free: Run


def tried_in_spells(fleet: Fleet, executor: Executor | None = None, steps: Steps = silent) -> Sizing:
    """The heaters that hold the floor through the cold spells; whole winters have yet to bear them out."""
    designs = fleet.network.designs
    drive, every = fleet.weather.drive, np.arange(designs)
    setpoint, holds = fleet.setpoint_c, np.ones(designs, dtype=bool)
    if fleet.heats_room:
        setpoint, holds = _room_setpoints(fleet, executor)
    rows = spell_rows(fleet.weather)
    free = studied(
        fleet.network, drive, Control(setpoint, np.full(designs, UNLIMITED_W), np.zeros(designs)), fleet.floor_c,
        watch=Watch(snapshot_h=np.vstack([rows, coldest_days(fleet.weather)])), executor=executor, steps=steps,
    )  # fmt: skip
    start = np.moveaxis(free.snapshot_c[: len(rows)], 0, 2).reshape(len(fleet.network.nodes), designs, -1)
    winter = np.tile(np.arange(rows.shape[1]), len(rows))
    spells = excerpt(fleet.weather, winter, rows.ravel(), SPELL_H)

    def in_spells(at: Array, watts: Array) -> Array:
        return _above_floor(fleet, setpoint, at, watts, spells, start, executor) - SPELL_MARGIN_K

    needless = in_spells(every, np.zeros((1, designs)))[0] >= 0
    tried = np.where(needless, 0.0, smallest_each(in_spells, np.zeros(designs), _most_w(free), TOLERANCE_W))
    return Sizing(np.where(holds, tried, np.inf), setpoint, free)


def margin_in_winters(fleet: Fleet, setpoint: Array, executor: Executor | None) -> Margin:
    """Kelvin above the floor over whole winters, for candidates of some designs."""
    drive = fleet.weather.drive

    def margin(at: Array, watts: Array) -> Array:
        return _above_floor(fleet, setpoint, at, watts, drive, None, executor) + ROUNDING_K

    return margin


def borne_out(fleet: Fleet, tried: Sizing, margins: Array, executor: Executor | None = None) -> Sizing:
    """The watts tried where whole winters bear them out, else those found in whole winters.

    Parameters
    ----------
    margins : Array, shape (design,)
        Kelvin above the floor over whole winters with the watts tried.
    """
    short = np.flatnonzero((margins < 0) & np.isfinite(tried.needed_w))
    if not short.size:
        return tried
    margin, high = margin_in_winters(fleet, tried.setpoint_c, executor), _most_w(tried.free)
    needed = tried.needed_w.copy()
    needed[short] = smallest_each(
        lambda at, watts: margin(short[at], watts), tried.needed_w[short], high[short], TOLERANCE_W
    )
    return replace(tried, needed_w=needed)


def _most_w(free: Run) -> Array:
    """What unlimited heat took at most, enough for every design. [W]"""
    return np.asarray(np.maximum(free.peak_w.max(axis=1), 0.0))


def _above_floor(
    fleet: Fleet,
    setpoint: Array,
    at: Array,
    watts: Array,
    drive: Drive,
    start_c: Array | None,
    executor: Executor | None,
) -> Array:
    """Kelvin that candidates of some designs stay above their floors, shape as watts."""
    index = np.tile(at, len(watts))
    control = Control(setpoint[:, index], np.minimum(watts.ravel(), UNLIMITED_W), np.zeros(len(index)))
    floor, first = fleet.floor_c[index], None if start_c is None else start_c[:, index]
    run = studied(fleet.network.take(index), drive, control, floor, start_c=first, executor=executor)
    return np.reshape(run.coldest_c.min(axis=1) - floor, watts.shape)


def _room_setpoints(fleet: Fleet, executor: Executor | None) -> tuple[Array, Array]:
    """Coolest thermostat of each room that keeps its water at the floor with unlimited heat, and whether any does."""
    floor, drive = fleet.floor_c, fleet.weather.drive
    low = floor - 5.0
    high = np.array([plan.keep.thermostat_c for plan in fleet.plans]) + WARMEST_ROOM_ABOVE_K

    def margin(at: Array, setpoints: Array) -> Array:
        index = np.tile(at, len(setpoints))
        control = Control(np.tile(setpoints.ravel(), (24, 1)), np.full(len(index), UNLIMITED_W), np.zeros(len(index)))
        run = studied(fleet.network.take(index), drive, control, floor[index], executor=executor)
        return np.reshape(run.coldest_c.min(axis=1) - floor[index], setpoints.shape)

    holds = margin(np.arange(len(floor)), high[None])[0] >= 0
    found = high.copy()
    able = np.flatnonzero(holds)
    found[able] = smallest_each(lambda at, tried: margin(able[at], tried), low[able], high[able], TOLERANCE_K)
    return np.tile(found, (24, 1)), holds
