"""The least heater of many designs at once.

Candidates are tried in the cold spells only, from the state that unlimited heat left there, and no march goes beyond
the last of them; what comes out is then marched through whole winters, and searched there too if it does not hold.
So spells only save time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.air import Array
from thermal.climate.spells import SPELL_H, coldest_days, spell_rows
from thermal.climate.winters import Weather, excerpt, until
from thermal.decisions.fleet import Fleet
from thermal.decisions.search import smallest_each
from thermal.march import NOTHING, Run
from thermal.network import Control, Drive
from thermal.study import Here, studied
from thermal.watch import Watch

TOLERANCE_W = 1.0
TOLERANCE_K = 0.05  # of a room's thermostat
WARMEST_ROOM_ABOVE_K = 30.0  # how far above the thermostat a room may be heated to keep its water
UNLIMITED_W = 1e9
LIKELY = (0.7, 0.95)  # of what unlimited heat took at most; where most heaters are found, no more than a first look
ROUNDING_K = 1e-6  # a thermostat at the floor keeps it to rounding only
SPELL_MARGIN_K = 0.002  # asked of a spell beyond the floor, so that the whole winter seldom disagrees


@dataclass(frozen=True)
class Sizing:
    """What a fleet needs, so far as its cold spells tell.

    Attributes
    ----------
    needed_w : Array, shape (design,)
        Least heater that keeps every hour of every winter at or above the floor; infinite where none does.
    setpoint_c : Array, shape (24, design)
        The thermostat: the water's, or the room's where the room is heated.
    free : Run
        The march with all the heat asked for, to the end of the last cold spell; its last snapshot is at midnight
        before each winter's coldest hour.
    """

    needed_w: Array
    setpoint_c: Array
    free: Run


def to_last_spell(weather: Weather) -> Drive:
    """Every winter as far as the last cold spell of any of them."""
    return until(weather.drive, int(spell_rows(weather).max()) + SPELL_H)


def tried_in_spells(fleet: Fleet) -> Sizing:
    """The heaters that hold the floor through the cold spells; whole winters have yet to bear them out."""
    designs = fleet.network.designs
    rows, drive = spell_rows(fleet.weather), to_last_spell(fleet.weather)
    setpoint, holds = _setpoints(fleet, drive)
    watch = Watch(snapshot_h=np.vstack([rows, coldest_days(fleet.weather)]))
    free = _with_all_heat(fleet, setpoint, drive, watch)
    start = np.moveaxis(free.snapshot_c[: len(rows)], 0, 2).reshape(len(fleet.network.nodes), designs, -1)
    winter = np.tile(np.arange(rows.shape[1]), len(rows))
    spells = excerpt(fleet.weather, winter, rows.ravel(), SPELL_H)

    def in_spells(at: Array, watts: Array) -> Array:
        return _above_floor(fleet, setpoint, at, watts, spells, start) - SPELL_MARGIN_K

    tried = smallest_each(in_spells, np.zeros(designs), _most_w(free), TOLERANCE_W, likely=LIKELY)
    return Sizing(np.where(holds, tried, np.inf), setpoint, free)


def borne_out(fleet: Fleet, tried: Sizing, margins: Array) -> Sizing:
    """The watts tried where whole winters bear them out, else those found in whole winters.

    Parameters
    ----------
    margins : Array, shape (design,)
        Kelvin above the floor over whole winters with the watts tried.
    """
    short = np.flatnonzero((margins < 0) & np.isfinite(tried.needed_w))
    if not short.size:
        return tried
    part, drive = fleet.part(short), fleet.weather.drive
    setpoint, holds = _setpoints(part, drive)
    most = _most_w(_with_all_heat(part, setpoint, drive, NOTHING))

    def in_winters(at: Array, watts: Array) -> Array:
        return _above_floor(part, setpoint, at, watts, drive, None) + ROUNDING_K

    found = smallest_each(in_winters, np.minimum(tried.needed_w[short], most), most, TOLERANCE_W)
    needed, setpoints = tried.needed_w.copy(), tried.setpoint_c.copy()
    needed[short], setpoints[:, short] = np.where(holds, found, np.inf), setpoint
    return replace(tried, needed_w=needed, setpoint_c=setpoints)


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
) -> Array:
    """Kelvin that candidates of some designs stay above their floors, shape as watts."""
    index = np.tile(at, len(watts))
    control = Control(setpoint[:, index], np.minimum(watts.ravel(), UNLIMITED_W), np.zeros(len(index)))
    floor, first = fleet.floor_c[index], None if start_c is None else start_c[:, index]
    run = studied(fleet.network.take(index), drive, control, floor, start_c=first, executor=Here())
    return np.reshape(run.coldest_c.min(axis=1) - floor, watts.shape)


def _with_all_heat(fleet: Fleet, setpoint: Array, drive: Drive, watch: Watch) -> Run:
    """The march of every design with whatever heat its thermostat asks for."""
    designs = fleet.network.designs
    control = Control(setpoint, np.full(designs, UNLIMITED_W), np.zeros(designs))
    return studied(fleet.network, drive, control, fleet.floor_c, watch=watch, executor=Here())


def _setpoints(fleet: Fleet, drive: Drive) -> tuple[Array, Array]:
    """Each design's thermostat, shape (24, design), and whether it keeps the water at the floor with unlimited heat.

    A room gets the coolest that does.
    """
    floor = fleet.floor_c
    if not fleet.heats_room:
        return fleet.setpoint_c, np.ones(len(floor), dtype=bool)
    low = floor - 5.0
    high = np.array([plan.keep.thermostat_c for plan in fleet.plans]) + WARMEST_ROOM_ABOVE_K

    def margin(at: Array, setpoints: Array) -> Array:
        index = np.tile(at, len(setpoints))
        control = Control(np.tile(setpoints.ravel(), (24, 1)), np.full(len(index), UNLIMITED_W), np.zeros(len(index)))
        run = studied(fleet.network.take(index), drive, control, floor[index], executor=Here())
        return np.reshape(run.coldest_c.min(axis=1) - floor[index], setpoints.shape)

    found = smallest_each(margin, low, high, TOLERANCE_K, sure=False)
    return np.tile(np.minimum(found, high), (24, 1)), np.isfinite(found)
