"""The heater needed by many designs at once.

Candidates are simulated in the cold spells of the coldest winters only, from the state that unlimited heat leaves there
after some weeks. The heaters found are then simulated through all whole winters, and sized in those where they are too
small. So the choice of winters and spells only saves time. A rare cold spell that the winters do not contain has some
weeks of its own, whose spells stand beside the others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import Batch, group_by_topology
from thermal.analysis.winter_pieces import simulate_in_pieces
from thermal.climate.cold_spells import Spells, coldest_winters, spells_of, take_winters
from thermal.climate.forcing import Forcing
from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array
from thermal.core.parallel import SerialExecutor
from thermal.core.root_search import MIN_POINTS, smallest_feasible
from thermal.network.model import Control
from thermal.plan.model import Plan
from thermal.solver.results import NOTHING, OutputRequest, SimulationResult, join_results
from thermal.solver.simulate import simulate_parallel

TOLERANCE_W = 1.0  # of the heater needed
TOLERANCE_K = 0.05  # of a room's thermostat
COOLEST_ROOM_BELOW_K, WARMEST_ROOM_ABOVE_K = 5.0, 30.0  # thermostats of a room: below the minimum, above the water's
INITIAL_ROOM_BRACKET = (0.05, 0.35)  # of that range: first candidates, where most thermostats are
ROOMS = 256  # candidates simulated together in the first round
UNLIMITED_W = 1e9
INITIAL_BRACKET = (0.7, 0.95)  # of the peak of unlimited heat: first candidates, where most heaters are
SPELL_MARGIN_K = 0.002  # above the minimum in a spell, so that whole winters seldom need more
ROUNDING_K = 1e-6  # a thermostat at the minimum keeps it to rounding only


@dataclass(frozen=True)
class Sizing:
    """The heaters that designs need.

    Attributes
    ----------
    needed_w : Array, shape (design,)
        Heater needed to keep the water at or above its minimum in every hour of every winter [W]; infinite where no
        heater is enough.
    setpoint_c : Array, shape (24, design)
        Thermostat of the water, or of the room where the room is heated, by local hour [degC].
    rare_setpoint_c : Array, shape (24, design)
        The same, high enough for a rare cold spell too; only that of a heated room differs [degC].
    closure : Array, shape (design,)
        Largest error of the energy balance of the simulation with unlimited heat, as a share of the heat exchanged [-].
    """

    needed_w: Array
    setpoint_c: Array
    rare_setpoint_c: Array
    closure: Array


def spells_of_coldest(weather: Weather) -> Spells:
    """The cold spells of the coldest winters."""
    return spells_of(take_winters(weather, coldest_winters(weather)))


def size_heaters(batch: Batch, design: Weather | None) -> Sizing:
    """The heater that keeps the minimum of each design; not yet verified on whole winters as recorded.

    Parameters
    ----------
    batch : Batch
        The designs, in the winters as recorded.
    design : Weather or None
        Some weeks with a rare cold spell; None where the winters alone are sized for.

    Returns
    -------
    Sizing
        The larger power of both. The thermostat is that of the winters as recorded, so that energy and cost do not
        depend on the rare cold spell.
    """
    if design is None:
        return size_on_spells(batch, spells_of_coldest(batch.weather))
    if not batch.heats_room:  # the thermostat is that of the plan
        coldest = take_winters(batch.weather, coldest_winters(batch.weather))
        return size_on_spells(batch, spells_of(coldest, design))
    recorded = size_on_spells(batch, spells_of_coldest(batch.weather))
    cold = size_on_spells(batch, spells_of(design, design))
    return replace(
        recorded,
        needed_w=np.maximum(recorded.needed_w, cold.needed_w),
        rare_setpoint_c=np.maximum(recorded.setpoint_c, cold.setpoint_c),
    )


def size_on_spells(batch: Batch, spells: Spells) -> Sizing:
    """The heater that keeps the minimum of each design through some cold spells; not yet verified on whole winters."""
    designs = batch.network.designs
    setpoint, holds, unlimited = _simulate_with_unlimited_heat(
        batch, spells.approach, OutputRequest(snapshot_h=spells.row)
    )
    needed_w = smallest_feasible(
        _margins_in_spells(batch, setpoint, spells, unlimited),
        np.zeros(designs),
        _most_w(unlimited),
        TOLERANCE_W,
        initial_bracket=INITIAL_BRACKET,
    )
    return Sizing(np.where(holds, needed_w, np.inf), setpoint, setpoint, unlimited.closure.max(axis=1))


def _margins_in_spells(
    batch: Batch, setpoint_c: Array, spells: Spells, unlimited: SimulationResult
) -> Callable[[Array, Array], Array]:
    """The margin of candidate heaters, as `smallest_feasible` asks for it.

    A larger heater keeps the water at least as warm. So a candidate is enough in a spell where unlimited heat takes no
    more than its power, or where a smaller candidate was enough; only the other spells are simulated.

    Parameters
    ----------
    batch : Batch
        The designs.
    setpoint_c : Array, shape (24, design)
        Their thermostats [degC].
    spells : Spells
        The cold spells.
    unlimited : SimulationResult
        Simulation of the spells, and of the weeks before them, with unlimited heat; with a snapshot where they begin.

    Returns
    -------
    callable
        Takes indices of designs, shape (open,), and powers, shape (point, open) [W]; returns the coldest water of all
        spells, less the minimum and `SPELL_MARGIN_K`, or a lower bound of it that is not below zero, shape as the
        powers [K].
    """
    enough_w = unlimited.peak_w.astype(float)  # (design, spell): with so much the margin is known
    known_k = unlimited.coldest_c - batch.floor_c[:, None] - SPELL_MARGIN_K  # (design, spell): and this at least
    start_c = unlimited.snapshot_c[0]

    def margins(index: Array, watts: Array) -> Array:
        known = watts[..., None] >= enough_w[index]
        margins_k = np.where(known, known_k[index], np.inf)
        point, case, spell = np.nonzero(~known)
        design = index[case]
        if design.size:
            run = simulate_parallel(
                batch.network.take(design),
                spells.forcing,
                Control(setpoint_c[:, design], watts[point, case], np.zeros(len(design))),
                batch.floor_c[design],
                start_c=start_c[:, design, spell],
                winter=spell,
                executor=SerialExecutor(),
            )
            margins_k[point, case, spell] = run.coldest_c[:, 0] - batch.floor_c[design] - SPELL_MARGIN_K
        for power, at_power in zip(watts, margins_k, strict=True):
            better = (at_power >= 0) & (power[:, None] < enough_w[index])
            known_k[index] = np.where(better, at_power, known_k[index])
            enough_w[index] = np.where(better, power[:, None], enough_w[index])
        return np.asarray(margins_k.min(axis=-1))

    return margins


def verify_on_winters(batch: Batch, sizing: Sizing, margins: Array) -> Sizing:
    """The heaters needed, sized on the whole winters in which those of the cold spells are too small.

    Parameters
    ----------
    batch : Batch
        The designs.
    sizing : Sizing
        Their heaters from the cold spells.
    margins : Array, shape (design, winter)
        Coldest water of each whole winter with these heaters, less the minimum [K].
    """
    too_cold = (margins < 0) & np.isfinite(sizing.needed_w)[:, None]
    short = np.flatnonzero(too_cold.any(axis=1))
    if not short.size:
        return sizing
    weather = take_winters(batch.weather, np.flatnonzero(too_cold.any(axis=0)))  # more heat keeps the others too
    short_batch, forcing = replace(batch.part(short), weather=weather), weather.forcing
    setpoint, holds, unlimited = _simulate_with_unlimited_heat(short_batch, forcing, NOTHING)
    most = _most_w(unlimited)

    def in_winters(index: Array, watts: Array) -> Array:
        return _above_floor(short_batch, setpoint, index, watts, forcing) + ROUNDING_K

    result = smallest_feasible(in_winters, np.minimum(sizing.needed_w[short], most), most, TOLERANCE_W)
    needed, setpoints = sizing.needed_w.copy(), sizing.setpoint_c.copy()
    needed[short] = np.maximum(needed[short], np.where(holds, result, np.inf))  # the rare cold spell may need more
    setpoints[:, short] = np.maximum(setpoints[:, short], setpoint)  # that of a room in its coldest winter
    rare = np.maximum(sizing.rare_setpoint_c, setpoints)
    return replace(sizing, needed_w=needed, setpoint_c=setpoints, rare_setpoint_c=rare)


def _most_w(unlimited: SimulationResult) -> Array:
    """Largest power that unlimited heat takes, enough for every design, (design,). [W]"""
    return np.asarray(np.maximum(unlimited.peak_w.max(axis=1), 0.0))


def _above_floor(batch: Batch, setpoint: Array, index: Array, watts: Array, forcing: Forcing) -> Array:
    """Coldest water of some designs with candidate heaters, less the minimum, shape as `watts`. [K]"""
    columns = np.tile(index, len(watts))
    control = Control(setpoint[:, columns], np.minimum(watts.ravel(), UNLIMITED_W), np.zeros(len(columns)))
    floor_c = batch.floor_c[columns]
    run = simulate_parallel(batch.network.take(columns), forcing, control, floor_c, executor=SerialExecutor())
    return np.reshape(run.coldest_c.min(axis=1) - floor_c, watts.shape)


def _simulate_with_unlimited_heat(
    batch: Batch, forcing: Forcing, request: OutputRequest
) -> tuple[Array, Array, SimulationResult]:
    """Thermostat of each design, whether it keeps the minimum, and the simulation with unlimited heat.

    Shapes (24, design) and (design,). A heated room gets the lowest thermostat that keeps the minimum.
    """
    all_designs = np.arange(batch.network.designs)
    if not batch.heats_room:
        setpoint = batch.setpoint_c
        run = _simulate_without_limit(batch, all_designs, setpoint, forcing, request)
        holds = np.ones(len(all_designs), dtype=bool)
        if batch.network.heater_share is not None:  # a timer may leave the water too long without heat
            holds = run.coldest_c.min(axis=1) >= batch.floor_c - ROUNDING_K
        return setpoint, holds, run
    low = batch.floor_c - COOLEST_ROOM_BELOW_K
    high = np.array([plan.keep.thermostat_c for plan in batch.plans]) + WARMEST_ROOM_ABOVE_K
    attempts: list[tuple[Array, Array, SimulationResult]] = []  # designs, thermostats of their rooms, simulation

    def margin(index: Array, rooms: Array) -> Array:
        columns, room = np.tile(index, len(rooms)), rooms.ravel()
        run = _simulate_without_limit(batch, columns, np.tile(room, (24, 1)), forcing, request)
        attempts.append((columns, room, run))
        return np.reshape(run.coldest_c.min(axis=1) - batch.floor_c[columns], rooms.shape)

    results = smallest_feasible(
        margin, low, high, TOLERANCE_K, False, INITIAL_ROOM_BRACKET, max(ROOMS // len(all_designs), MIN_POINTS)
    )
    room = np.minimum(results, high)
    designs = np.concatenate([columns for columns, _, _ in attempts])
    hits = np.concatenate([rooms == room[columns] for columns, rooms, _ in attempts])
    first_hits = np.flatnonzero(hits)[np.unique(designs[hits], return_index=True)[1]]
    return np.tile(room, (24, 1)), np.isfinite(results), join_results([run for _, _, run in attempts]).take(first_hits)


def _simulate_without_limit(
    batch: Batch, index: Array, setpoint: Array, forcing: Forcing, request: OutputRequest
) -> SimulationResult:
    """Simulation of some designs with all the heat that their thermostats ask for."""
    control = Control(setpoint, np.full(len(index), UNLIMITED_W), np.zeros(len(index)))
    return simulate_parallel(
        batch.network.take(index), forcing, control, batch.floor_c[index], request=request, executor=SerialExecutor()
    )


def needed_and_heating(
    plan: Plan, weather: Weather, design: Weather | None, least_w: float, winter: int
) -> tuple[float, float] | None:
    """Heater needed [W] and heating of one winter [J] at the likely inputs; None where no heater is enough.

    Parameters
    ----------
    plan : Plan
        The plan.
    weather : Weather
        Its winters.
    design : Weather or None
        Some weeks with the rare cold spell that it is sized for; None where it is not.
    least_w : float
        Power of the heaters that heat the winter; the heater needed where that is more [W].
    winter : int
        Index of the winter.
    """
    batch = group_by_topology([plan], weather)[0]
    sizing = size_heaters(batch, design)
    needed_w = float(sizing.needed_w[0])
    if not np.isfinite(needed_w):
        return None
    watts = np.array([max(needed_w, least_w)])
    control = Control(sizing.setpoint_c[:, :1], watts, np.zeros(1))
    alone = take_winters(weather, np.array([winter]))
    (hourly,) = simulate_in_pieces(batch.network, [alone], control, plan.keep.floor_c)
    return needed_w, float(hourly.heater_w[: alone.winters[0].hours].sum() * 3600.0)
