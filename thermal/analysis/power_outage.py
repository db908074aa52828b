"""Power outage: how long the water stays warm enough, from the coldest hour of many days of every winter.

Of up to five winters these are all days. Of more they are every second, for the times of most power cuts, and those in
the coldest weather, for the worst: neighbouring days are much alike.

Pump, lights and heater stop. A flood-and-drain bed drains into the tank and cools on its own. Oxygen runs out before
the water is too cold, so every answer begins with oxygen.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import INSTALLED, SimulationCase, hours_of, network_of
from thermal.analysis.many_winters import MANY
from thermal.analysis.results import Outage, TimeToLimit
from thermal.analysis.unpowered_plan import HORIZON_H, mix_drained_beds, without_power
from thermal.climate.cold_spells import coldest_cuts, coldest_hours
from thermal.climate.heating_seasons import Weather, excerpt
from thermal.core.arrays import Array
from thermal.core.crossing import hours_until
from thermal.core.parallel import SerialExecutor
from thermal.data.snug_lid import snug_lid
from thermal.network.model import Control, Network, join_networks
from thermal.physics.freezing import AT_FREEZING_C
from thermal.plan.structure import Vessel
from thermal.solver.results import OutputRequest, SimulationResult
from thermal.solver.simulate import simulate

BLANKET_R = 0.5  # m2K/W, bedding or bubble wrap round the walls; our judgement
AIR_PUMP_W = 10.0  # a battery air pump for a tank of this size, 5-35 W; from memory
BATTERY_H = 24  # for which heat and air are counted
UNLIMITED_W = 1e9
DAYS_OF_MANY = 2  # in more winters than `MANY`: the usual times are within 3 % of those of all days
WORST_OF_MANY = 12  # starts of each window of `coldest_cuts`
CUT_COLUMNS = 4096  # simulated together: the hours of each are kept, in memory
VARIANTS = ("as it is", "lid", "blanket", "lid and blanket", "held at the minimum")
OXYGEN_FIRST = (
    "Oxygen runs out first, often within an hour in a fully stocked tank: start a battery air pump before you do"
    " anything else."
)


def power_outage(case: SimulationCase, shown: SimulationResult) -> Outage:
    """Time until the water is too cold after a power cut, and what helps.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Hourly simulation of the designs (unheated, installed, ...). Power cuts start from the installed one.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    return submit_power_cuts(case, shown, SerialExecutor())()


def submit_power_cuts(case: SimulationCase, shown: SimulationResult, executor: Executor) -> Callable[[], Outage]:
    """What gives the result of `power_outage`, its simulation begun.

    Parameters
    ----------
    case, shown : SimulationCase, SimulationResult
        As in `power_outage`.
    executor : Executor
        Where blocks of power cuts are simulated.
    """
    starts, usual = _starts(case.weather)
    network = join_networks([_variant(case, name) for name in VARIANTS])
    begin = _start(case, shown, starts, network)
    blocks = np.array_split(np.arange(len(starts)), -(-len(starts) * len(VARIANTS) // CUT_COLUMNS))
    futures = [
        executor.submit(
            _simulate_cuts,
            _PowerCuts(case.weather, network, case.plan.keep.floor_c, np.array(starts)[block], begin[:, :, block]),
        )
        for block in blocks
    ]
    return lambda: _read(case, _join([future.result() for future in futures]), starts, usual)


def _starts(weather: Weather) -> tuple[list[tuple[int, int]], Array]:
    """Winter and hour of each power cut, and which of them make the usual times."""
    every_day = [(winter, hour) for winter in range(len(weather.winters)) for hour in coldest_hours(weather, winter)]
    if len(weather.winters) <= MANY:
        return every_day, np.ones(len(every_day), dtype=bool)
    coldest = set(coldest_cuts(weather, WORST_OF_MANY))
    second = {start for start in every_day if start[1] // 24 % DAYS_OF_MANY == 0}
    starts = [start for start in every_day if start in coldest or start in second]
    return starts, np.array([start in second for start in starts])


@dataclass(frozen=True)
class _PowerCuts:
    """Power cuts to simulate, plain values that any executor can take: (start, 2) winter and hour, and temperatures."""

    weather: Weather
    network: Network
    floor_c: float
    starts: Array
    begin_c: Array  # (node, design, start)


@dataclass(frozen=True)
class _Cooling:
    """Power cuts simulated: tank of each variant, bed as it is, shape (hour, start), and heat of the last [Wh]."""

    tank_c: tuple[Array, ...]
    bed_c: Array | None
    heat_wh: Array


def _simulate_cuts(cuts: _PowerCuts) -> _Cooling:
    """Some power cuts, from the state at each cut to a week later."""
    designs, floor_c, first, network = len(VARIANTS), cuts.floor_c, cuts.begin_c, cuts.network
    control = Control(
        np.full((24, designs), floor_c), np.array([0.0] * (designs - 1) + [UNLIMITED_W]), np.zeros(designs)
    )
    winter, hour = cuts.starts.T
    forcing = excerpt(cuts.weather, winter, cuts.weather.spin_up_h + hour, HORIZON_H)
    wanted = OutputRequest(hourly=("water_c", "heater_w"))
    run = simulate(network, forcing, control, floor_c, hourly_output=True, start_c=first, request=wanted)
    assert run.hourly_output is not None
    water = run.hourly_output.water_c.reshape(HORIZON_H, -1, designs, len(hour))
    heat_w = run.hourly_output.heater_w.reshape(HORIZON_H, designs, len(hour))[:BATTERY_H, -1]
    tank, bed = (network.nodes.index(name) if name in network.nodes else -1 for name in ("tank", "bed"))
    return _Cooling(
        tuple(np.vstack([first[tank, design], water[:, -1, design]]) for design in range(designs)),
        np.vstack([first[bed, 0], water[:, -2, 0]]) if bed >= 0 else None,
        heat_w.sum(axis=0),
    )


def _join(blocks: list[_Cooling]) -> _Cooling:
    """All blocks of starts side by side."""
    tanks = zip(*(block.tank_c for block in blocks), strict=True)
    beds = [block.bed_c for block in blocks if block.bed_c is not None]
    return _Cooling(
        tuple(np.hstack(curves) for curves in tanks),
        np.hstack(beds) if beds else None,
        np.concatenate([block.heat_wh for block in blocks]),
    )


def _read(case: SimulationCase, cooling: _Cooling, starts: list[tuple[int, int]], usual: Array) -> Outage:
    """The result from the simulation of all power cuts."""

    def time_to_limit(curve_c: Array | None, limit_c: float) -> TimeToLimit:
        return _time_to_limit(curve_c, limit_c, times, usual)

    floor = case.plan.keep.floor_c
    lows = [species.low_c for species in case.plan.keep.limits]
    lethal = max(lows) if lows else None
    tank, bed, heat = cooling.tank_c, cooling.bed_c, cooling.heat_wh
    times = _start_times(case, starts)
    to_floor, to_freezing, with_both = (
        time_to_limit(tank[design], limit) for design, limit in ((0, floor), (0, AT_FREEZING_C), (3, floor))
    )
    to_lethal = time_to_limit(None if lethal is None else tank[0], lethal or 0.0)
    worst_start = to_floor.worst_start or times[0]
    named = (worst_start, to_lethal.worst_start, to_freezing.worst_start)
    return Outage(
        starts=len(starts),
        worst_start=worst_start,
        first=OXYGEN_FIRST,
        to_floor=to_floor,
        to_lethal=to_lethal,
        lethal_c=lethal,
        to_freezing=to_freezing,
        bed_to_floor=time_to_limit(bed, floor),
        bed_to_freezing=time_to_limit(bed, AT_FREEZING_C),
        with_lid=time_to_limit(tank[1], floor),
        with_blanket=time_to_limit(tank[2], floor),
        with_both=with_both,
        air_pump_wh=AIR_PUMP_W * BATTERY_H,
        heat_wh_worst=float(heat.max()),
        heat_wh_median=float(np.median(heat[usual])),
        curve_c=_curve(tank[0], times.index(worst_start)),
        curve_lid_c=_curve(tank[3], times.index(with_both.worst_start or worst_start)),
        curves_c={start: _curve(tank[0], times.index(start)) for start in dict.fromkeys(named) if start},
    )


def _start_times(case: SimulationCase, starts: list[tuple[int, int]]) -> list[str]:
    """Each start, ISO 8601, local standard time."""
    times = [winter.times() for winter in case.weather.winters]
    return [times[winter][hour].isoformat() for winter, hour in starts]


def _curve(tank_c: Array, start: int) -> tuple[float, ...]:
    """Tank from one start. [degC]"""
    return tuple(float(celsius) for celsius in tank_c[:, start])


def _time_to_limit(curve_c: Array | None, limit_c: float, times: list[str], usual: Array) -> TimeToLimit:
    """The shortest time, and of usual starts that of the worst tenth and the median; None where infinite. [h]"""
    if curve_c is None:
        return TimeToLimit(None, None, None)

    def finite_or_none(value: float) -> float | None:
        return float(value) if np.isfinite(value) else None

    hours = hours_until(curve_c, limit_c)
    ranked, worst = np.sort(hours[usual]), int(np.argmin(hours))
    return TimeToLimit(
        finite_or_none(hours[worst]),
        finite_or_none(ranked[int(0.1 * len(ranked))]),
        finite_or_none(ranked[len(ranked) // 2]),
        times[worst] if np.isfinite(hours[worst]) else None,
    )


def _variant(case: SimulationCase, name: str) -> Network:
    """Network of the plan without power, its tank covered or wrapped according to the variant's name."""
    plan = case.plan
    covered = "lid" in name
    wrapped = "blanket" in name
    tanks = tuple(_with_cover(vessel, covered, wrapped) for vessel in plan.tanks)
    return network_of(without_power(replace(plan, tanks=tanks)), case.weather)


def _with_cover(vessel: Vessel, lid: bool, blanket: bool) -> Vessel:
    """A vessel with a snug lid, a blanket round its walls, or both."""
    share, lid_r = snug_lid()
    return replace(
        vessel,
        evaporation=min(vessel.evaporation, share) if lid else vessel.evaporation,
        lid_r_m2k_per_w=max(vessel.lid_r_m2k_per_w, lid_r) if lid else vessel.lid_r_m2k_per_w,
        night_evaporation=min(vessel.night_evaporation, share) if lid else vessel.night_evaporation,
        night_lid_r_m2k_per_w=max(vessel.night_lid_r_m2k_per_w, lid_r) if lid else vessel.night_lid_r_m2k_per_w,
        opening=vessel.opening.under_lid(share, lid_r) if lid and vessel.opening else vessel.opening,
        wall_r_m2k_per_w=vessel.wall_r_m2k_per_w + (BLANKET_R if blanket else 0.0),
    )


def _start(case: SimulationCase, shown: SimulationResult, starts: list[tuple[int, int]], network: Network) -> Array:
    """Temperatures at the power cut, shape (node, design, start), with the beds drained into the tank. [degC]"""
    order = {name: case.network.nodes.index(name) for name in network.nodes}
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    begin = np.empty((len(network.nodes), network.designs, len(starts)))
    winters = {winter: hours_of(case, shown, winter, INSTALLED) for winter in dict(starts)}
    for node, name in enumerate(network.nodes):
        series = {winter: hours.end(order[name], water_nodes) for winter, hours in winters.items()}
        begin[node] = [series[winter][max(hour - 1, 0)] for winter, hour in starts]
    if case.plan.beds:
        tank, bed = network.nodes.index("tank"), network.nodes.index("bed")
        begin[tank] = mix_drained_beds(case.plan, begin[tank], begin[bed])
    return begin
