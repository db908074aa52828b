"""The heater needed by each of many designs at once.

Candidates are simulated in the cold spells only, each from the state that unlimited heat left there. The result is then
simulated through whole winters, and searched for there where it is not enough. So the cold spells only save time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import Batch
from thermal.climate.cold_spells import SPELL_H, coldest_days, spell_rows
from thermal.climate.forcing import Forcing
from thermal.climate.heating_seasons import Weather, excerpt, until
from thermal.core.arrays import Array
from thermal.core.parallel import SerialExecutor
from thermal.core.root_search import MIN_POINTS, smallest_feasible
from thermal.network.model import Control
from thermal.solver.results import NOTHING, OutputRequest, SimulationResult, join_results
from thermal.solver.simulate import simulate_parallel

TOLERANCE_W = 1.0
TOLERANCE_K = 0.05  # of a room's thermostat
COOLEST_ROOM_BELOW_K, WARMEST_ROOM_ABOVE_K = (
    5.0,
    30.0,
)  # from minimum water temperature and thermostat: range of the room's
INITIAL_ROOM_BRACKET = (0.05, 0.35)  # of that range; most rooms lie within
ROOMS = 256  # simulated together in the first round
UNLIMITED_W = 1e9
INITIAL_BRACKET = (0.7, 0.95)  # first candidates, as a fraction of peak demand with unlimited heat
ROUNDING_K = 1e-6  # a thermostat set at the minimum keeps it only to rounding
SPELL_MARGIN_K = 0.002  # above the minimum in a cold spell, so that the whole winter seldom disagrees


@dataclass(frozen=True)
class Sizing:
    """What the designs of a batch need, by their cold spells.

    Attributes
    ----------
    needed_w : Array, shape (design,)
        Smallest heater that keeps the water at or above its minimum in every hour; infinite where none does.
    setpoint_c : Array, shape (24, design)
        The thermostat: the water's, or the room's where the room is heated.
    unlimited : SimulationResult
        With unlimited heat, to the end of the last cold spell; its last snapshot is at midnight before each winter's
        coldest hour.
    """

    needed_w: Array
    setpoint_c: Array
    unlimited: SimulationResult


def to_last_spell(weather: Weather) -> Forcing:
    """Every winter as far as the last cold spell of any of them."""
    return until(weather.forcing, int(spell_rows(weather).max()) + SPELL_H)


def size_on_cold_spells(batch: Batch) -> Sizing:
    """The heaters that keep the minimum through the cold spells; whole winters are not yet simulated."""
    designs = batch.network.designs
    rows, forcing = spell_rows(batch.weather), to_last_spell(batch.weather)
    request = OutputRequest(snapshot_h=np.vstack([rows, coldest_days(batch.weather)]))
    setpoint, holds, unlimited = _simulate_with_unlimited_heat(batch, forcing, request)
    start = np.moveaxis(unlimited.snapshot_c[: len(rows)], 0, 2).reshape(len(batch.network.nodes), designs, -1)
    winter = np.tile(np.arange(rows.shape[1]), len(rows))
    spells = excerpt(batch.weather, winter, rows.ravel(), SPELL_H)

    def in_spells(at: Array, watts: Array) -> Array:
        return _above_floor(batch, setpoint, at, watts, spells, start) - SPELL_MARGIN_K

    tried = smallest_feasible(
        in_spells, np.zeros(designs), _most_w(unlimited), TOLERANCE_W, initial_bracket=INITIAL_BRACKET
    )
    return Sizing(np.where(holds, tried, np.inf), setpoint, unlimited)


def verify_on_winters(batch: Batch, tried: Sizing, margins: Array) -> Sizing:
    """The watts tried where they are enough in whole winters, else those found in whole winters.

    Parameters
    ----------
    margins : Array, shape (design,)
        Smallest distance of the water from its minimum over whole winters, with the watts tried. [K]
    """
    short = np.flatnonzero((margins < 0) & np.isfinite(tried.needed_w))
    if not short.size:
        return tried
    part, forcing = batch.part(short), batch.weather.forcing
    setpoint, holds, unlimited = _simulate_with_unlimited_heat(part, forcing, NOTHING)
    most = _most_w(unlimited)

    def in_winters(at: Array, watts: Array) -> Array:
        return _above_floor(part, setpoint, at, watts, forcing, None) + ROUNDING_K

    result = smallest_feasible(in_winters, np.minimum(tried.needed_w[short], most), most, TOLERANCE_W)
    needed, setpoints = tried.needed_w.copy(), tried.setpoint_c.copy()
    needed[short], setpoints[:, short] = np.where(holds, result, np.inf), setpoint
    return replace(tried, needed_w=needed, setpoint_c=setpoints)


def _most_w(unlimited: SimulationResult) -> Array:
    """Peak demand with unlimited heat, enough for every design. [W]"""
    return np.asarray(np.maximum(unlimited.peak_w.max(axis=1), 0.0))


def _above_floor(
    batch: Batch,
    setpoint: Array,
    at: Array,
    watts: Array,
    forcing: Forcing,
    start_c: Array | None,
) -> Array:
    """How far the water stays above its minimum for candidates of some designs, shape as watts. [K]"""
    index = np.tile(at, len(watts))
    control = Control(setpoint[:, index], np.minimum(watts.ravel(), UNLIMITED_W), np.zeros(len(index)))
    floor, initial_points = batch.floor_c[index], None if start_c is None else start_c[:, index]
    run = simulate_parallel(
        batch.network.take(index), forcing, control, floor, start_c=initial_points, executor=SerialExecutor()
    )
    return np.reshape(run.coldest_c.min(axis=1) - floor, watts.shape)


def _simulate_with_unlimited_heat(
    batch: Batch, forcing: Forcing, request: OutputRequest
) -> tuple[Array, Array, SimulationResult]:
    """Each design's thermostat, whether it keeps the minimum, and the simulation with unlimited heat.

    Shapes (24, design) and (design,). A room gets the coolest thermostat that does.
    """
    every = np.arange(batch.network.designs)
    if not batch.heats_room:
        setpoint = batch.setpoint_c
        return setpoint, np.ones(len(every), dtype=bool), _simulate_unlimited(batch, every, setpoint, forcing, request)
    low = batch.floor_c - COOLEST_ROOM_BELOW_K
    high = np.array([plan.keep.thermostat_c for plan in batch.plans]) + WARMEST_ROOM_ABOVE_K
    tried: list[tuple[Array, Array, SimulationResult]] = []  # designs, their rooms' thermostats, the simulation

    def margin(at: Array, rooms: Array) -> Array:
        index, room = np.tile(at, len(rooms)), rooms.ravel()
        run = _simulate_unlimited(batch, index, np.tile(room, (24, 1)), forcing, request)
        tried.append((index, room, run))
        return np.reshape(run.coldest_c.min(axis=1) - batch.floor_c[index], rooms.shape)

    results = smallest_feasible(
        margin, low, high, TOLERANCE_K, False, INITIAL_ROOM_BRACKET, max(ROOMS // len(every), MIN_POINTS)
    )
    room = np.minimum(results, high)
    designs = np.concatenate([index for index, _, _ in tried])
    hits = np.concatenate([rooms == room[index] for index, rooms, _ in tried])
    own = np.flatnonzero(hits)[np.unique(designs[hits], return_index=True)[1]]
    return np.tile(room, (24, 1)), np.isfinite(results), join_results([run for _, _, run in tried]).take(own)


def _simulate_unlimited(
    batch: Batch, index: Array, setpoint: Array, forcing: Forcing, request: OutputRequest
) -> SimulationResult:
    """Simulate some designs with all the heat that their thermostats ask for."""
    control = Control(setpoint, np.full(len(index), UNLIMITED_W), np.zeros(len(index)))
    return simulate_parallel(
        batch.network.take(index), forcing, control, batch.floor_c[index], request=request, executor=SerialExecutor()
    )
