"""A plan in its climate, ready to be simulated; alone, or with other plans as batches of one network topology each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from thermal.climate.adjustments import at_elevation, with_coldest_night
from thermal.climate.dataset import Climate
from thermal.climate.forcing import Forcing
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.library import load_climate, read_climate
from thermal.core.arrays import Array
from thermal.network.build import build_network, plan_envelope
from thermal.network.envelope import Envelope
from thermal.network.model import Control, Network, join_networks, thermostat
from thermal.plan.model import Plan
from thermal.plan.tariff import cheap_hours
from thermal.solver.results import HourlyOutput, SimulationResult
from thermal.solver.simulate import simulate

UNHEATED, INSTALLED = 0, 1  # designs in an hourly simulation of (unheated, installed, ...)


@dataclass(frozen=True)
class SimulationCase:
    """One plan, its climate, and the network and weather made from them."""

    plan: Plan
    climate: Climate
    weather: Weather
    forcing: Forcing
    network: Network
    envelope: Envelope | None

    def simulate(
        self, control: Control, *, hourly_output: bool = False, network: Network | None = None
    ) -> SimulationResult:
        """Simulate the plan under each of a control's designs."""
        designs = len(control.max_w)
        batch = network or self.network.take(np.zeros(designs, dtype=int))
        return simulate(batch, self.forcing, control, self.plan.keep.floor_c, hourly_output=hourly_output)

    def heaters(self, max_w: Array, min_w: Array | float = 0.0, setpoint_c: float | None = None) -> Control:
        """Thermostats that differ in their watts only; a given setpoint holds all day."""
        watts = np.asarray(max_w, dtype=float)
        if setpoint_c is not None:
            return thermostat(setpoint_c, watts, min_w)
        profile = setpoint_profile(self.plan)
        return replace(thermostat(0.0, watts, min_w), setpoint_c=np.repeat(profile[:, None], len(watts), axis=1))


def setpoint_profile(plan: Plan) -> Array:
    """The water's thermostat at each local hour, higher while power is cheap where the plan says so. [degC]"""
    keep = plan.keep
    if keep.cheap_c is None:
        return np.full(24, keep.thermostat_c)
    return np.where(cheap_hours(plan.power), keep.cheap_c, keep.thermostat_c)


def scene_of(plan: Plan, folder: Path | None = None) -> SimulationCase:
    """A plan in its climate.

    Parameters
    ----------
    folder : Path, optional
        Folder that a relative `[climate] file` is in: the plan's own.

    Raises
    ------
    ClimateError
        When the weather file cannot be used.
    """
    choice = plan.climate
    climate = read_climate((folder or Path()) / choice.file) if choice.file else load_climate(choice.series)
    climate = with_coldest_night(at_elevation(climate, choice.site_elevation_m), choice.coldest_night_c)
    weather = winters_of(climate, choice.winters)
    return SimulationCase(
        plan=plan,
        climate=climate,
        weather=weather,
        forcing=weather.forcing,
        network=network_of(plan, weather),
        envelope=plan_envelope(plan, weather.pressure_pa),
    )


def network_of(plan: Plan, weather: Weather) -> Network:
    """A plan's network on the ground of its climate, as a batch of one design."""
    return build_network(plan, weather.pressure_pa, weather.harmonic.mean_c, weather.harmonic.amplitude_k)


@dataclass(frozen=True)
class WinterHours:
    """One column of a trace with what drove it; all arrays of shape (hour, ...)."""

    hourly_output: HourlyOutput
    column: int
    start_c: Array  # node temperatures before the first hour
    start_ice_j: Array
    outdoor_c: Array
    season: Array  # (hour, 2): cosine and sine
    hour_of_day: Array

    def mean(self, node: int) -> Array:
        """The temperature at which a node's heat flowed in each hour."""
        return self.hourly_output.mean_c[:, node, self.column]

    def end(self, node: int, water_nodes: tuple[int, ...]) -> Array:
        """A node's temperature at the end of each hour; only water's differs from that at which heat flowed."""
        if node in water_nodes:
            return self.hourly_output.water_c[:, water_nodes.index(node), self.column]
        return self.mean(node)

    def vessel(self, name: str, row: int) -> Array:
        """A vessel's hourly series of the trace."""
        return np.asarray(getattr(self.hourly_output, name)[:, row, self.column])


def hours_of(case: SimulationCase, run: SimulationResult, winter: int, design: int = INSTALLED) -> WinterHours:
    """One winter of one design, ready for the accounts."""
    assert run.hourly_output is not None
    weather = case.weather
    column = design * len(weather.winters) + winter
    span = slice(weather.spin_up_h, weather.spin_up_h + weather.winters[winter].hours)
    length = weather.winters[winter].hours
    hourly = {
        name: values[:length]
        for name, values in vars(run.hourly_output).items()
        if name not in ("start_c", "start_ice_j")
    }
    hourly_output = type(run.hourly_output)(
        **hourly, start_c=run.hourly_output.start_c, start_ice_j=run.hourly_output.start_ice_j
    )
    return WinterHours(
        hourly_output=hourly_output,
        column=column,
        start_c=run.hourly_output.start_c[:, column],
        start_ice_j=run.hourly_output.start_ice_j[:, column],
        outdoor_c=weather.outdoor_c[span, winter],
        season=np.stack([weather.season_cos[span, winter], weather.season_sin[span, winter]], axis=1),
        hour_of_day=np.arange(span.start, span.stop) % 24,
    )


@dataclass(frozen=True)
class Batch:
    """Designs of one shape; `positions` says where each stands in the list of plans they came from."""

    plans: tuple[Plan, ...]
    positions: Array
    network: Network
    weather: Weather

    @property
    def floor_c(self) -> Array:
        """Coldest water each design allows, shape (design,)."""
        return np.array([plan.keep.floor_c for plan in self.plans])

    @property
    def setpoint_c(self) -> Array:
        """Each design's thermostat by local hour, shape (24, design)."""
        return np.stack([setpoint_profile(plan) for plan in self.plans], axis=1)

    @property
    def heats_room(self) -> bool:
        """Whether the heater works on the air; the same for all, since it makes the shape."""
        return self.plans[0].heater.where == "room"

    def part(self, index: Array) -> Batch:
        """Some of the designs."""
        plans = tuple(self.plans[i] for i in index)
        return Batch(plans, self.positions[index], self.network.take(index), self.weather)


def group_by_topology(
    plans: Sequence[Plan], weather: Weather, change: Callable[[Plan], Plan] = lambda plan: plan
) -> list[Batch]:
    """The plans, each changed first, in as few batches as their shapes allow."""
    groups: dict[tuple[object, ...], list[tuple[int, Plan, Network]]] = {}
    for place, plan in enumerate(map(change, plans)):
        network = network_of(plan, weather)
        shape = (plan.heater.where, *topology_key(network))
        groups.setdefault(shape, []).append((place, plan, network))
    return [
        Batch(
            plans=tuple(plan for _, plan, _ in group),
            positions=np.array([place for place, _, _ in group]),
            network=join_networks([network for _, _, network in group]),
            weather=weather,
        )
        for group in groups.values()
    ]


def topology_key(network: Network) -> tuple[object, ...]:
    """What networks must share to be one batch."""
    vessels = network.vessels
    return (
        network.nodes,
        network.links,
        vessels and (vessels.water_nodes, vessels.first_rows, len(vessels.surface_m2)),
    )
