"""A plan in its climate, ready to be simulated: alone, or with other plans in batches of one network topology each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from thermal.climate.dataset import Climate
from thermal.climate.design_winter import design_weather
from thermal.climate.forcing import Forcing
from thermal.climate.heating_seasons import Weather
from thermal.climate.rare_cold import RareCold, rare_cold
from thermal.climate.season_basis import SeasonBasis, season_basis
from thermal.core.arrays import Array
from thermal.network.build import build_network, plan_envelope
from thermal.network.drying_air import with_drying
from thermal.network.envelope import Envelope
from thermal.network.hut_air import with_hut_air
from thermal.network.model import Control, Network, join_networks, thermostat
from thermal.network.tried_heat import with_tried_heat
from thermal.plan.model import Plan
from thermal.plan.tariff import cheap_hours
from thermal.solver.results import NOTHING, HourlyOutput, OutputRequest, SimulationResult
from thermal.solver.simulate import simulate

MAY_BE_MISSING = ("given_change_k", "dryer", "fan", "direct_change_kg_s")  # of `RoomAir`, in all designs of a batch
UNHEATED, INSTALLED = 0, 1  # index of the design in an hourly simulation of (unheated, installed, ...)


@dataclass(frozen=True)
class SimulationCase:
    """One plan in its climate, with the network and the forcing made from them.

    Attributes
    ----------
    plan : Plan
        The plan.
    climate : Climate
        The weather file, shifted to the site.
    weather : Weather
        Its winters, side by side.
    network : Network
        The thermal network of the plan, as a batch of one design.
    envelope : Envelope or None
        The room's envelope; None where the room's air is given.
    rare_cold : RareCold or None
        The cold spell that heaters are sized for beside the winters; None where the winters are enough.
    design : Weather or None
        Some weeks with that cold spell, for sizing only.
    """

    plan: Plan
    climate: Climate
    weather: Weather
    network: Network
    envelope: Envelope | None
    rare_cold: RareCold | None = None
    design: Weather | None = None

    @cached_property
    def forcing(self) -> Forcing:
        """The hourly values outdoors that the simulation reads, made from the winters where they are needed."""
        return self.weather.forcing

    @property
    def in_rare_cold(self) -> SimulationCase | None:
        """The same plan in the weeks with the rare cold spell; None where there are none."""
        if self.design is None:
            return None
        return replace(self, weather=self.design, rare_cold=None, design=None)

    @property
    def season(self) -> SeasonBasis:
        """The winter that energy and cost of a season are those of."""
        return season_basis(self.weather)

    def simulate(
        self,
        control: Control,
        *,
        hourly_output: bool = False,
        network: Network | None = None,
        request: OutputRequest = NOTHING,
    ) -> SimulationResult:
        """Simulation of the plan under each design of a control.

        Parameters
        ----------
        control : Control
            Thermostats and power limits, one column for each design.
        hourly_output : bool
            Keep every hour's temperatures and heat flows.
        network : Network, optional
            Network to simulate in place of the plan's own, with as many designs as the control.
        request : OutputRequest
            What else to keep, and which designs to keep every hour of.

        Returns
        -------
        SimulationResult
            One row for each design.

        Raises
        ------
        ClosureError
            When energy is not conserved.
        """
        designs = len(control.max_w)
        batch = network or self.network.take(np.zeros(designs, dtype=int))
        floor_c = self.plan.keep.floor_c
        return simulate(batch, self.forcing, control, floor_c, hourly_output=hourly_output, request=request)

    def heaters(self, max_w: Array, min_w: Array | float = 0.0, setpoint_c: float | None = None) -> Control:
        """Control of designs that differ in their heater power only.

        Parameters
        ----------
        max_w, min_w : Array, shape (design,)
            Largest and smallest power of the heaters [W].
        setpoint_c : float, optional
            Thermostat of the whole day [degC]; the plan's own daily profile where not given.
        """
        watts = np.asarray(max_w, dtype=float)
        if setpoint_c is not None:
            return thermostat(setpoint_c, watts, min_w)
        profile = setpoint_profile(self.plan)
        return replace(thermostat(0.0, watts, min_w), setpoint_c=np.repeat(profile[:, None], len(watts), axis=1))


def setpoint_profile(plan: Plan) -> Array:
    """Thermostat of the water at each local hour, higher in cheap hours where the plan asks for it, (24,). [degC]"""
    keep = plan.keep
    if keep.cheap_c is None:
        return np.full(24, keep.thermostat_c)
    return np.where(cheap_hours(plan.power), keep.cheap_c, keep.thermostat_c)


def case_in(plan: Plan, climate: Climate, weather: Weather) -> SimulationCase:
    """A plan in weather that is there already, ready to be simulated.

    Parameters
    ----------
    plan : Plan
        The plan.
    climate, weather : Climate, Weather
        Its climate and winters, as `thermal.analysis.plan_weather.weather_of` gives them.
    """
    choice = plan.climate
    rare = rare_cold(climate, weather, choice.coldest_night_c) if choice.rare_cold else None
    return SimulationCase(
        plan=plan,
        climate=climate,
        weather=weather,
        network=network_of(plan, weather),
        envelope=plan_envelope(plan, weather.pressure_pa),
        rare_cold=rare,
        design=design_weather(weather, rare.outdoor_c) if rare else None,
    )


def network_of(plan: Plan, weather: Weather) -> Network:
    """Thermal network of a plan on the ground of its climate, as a batch of one design.

    Parameters
    ----------
    plan : Plan
        The plan.
    weather : Weather
        Winters of its climate, with pressure and yearly mean and amplitude of the outdoor air.
    """
    ground = weather.harmonic.mean_c + plan.room.floor.yearly_mean_shift_k, weather.harmonic.amplitude_k
    network = build_network(plan, weather.pressure_pa, *ground, weather.sun_and_sky)
    network = with_hut_air(network, plan)
    network = with_drying(network, plan.dehumidifier, plan.fan)
    return with_tried_heat(network, plan.tried, plan.room, weather.pressure_pa)


@dataclass(frozen=True)
class WinterHours:
    """One winter of one design, hour by hour.

    Attributes
    ----------
    hourly_output : HourlyOutput
        Hourly values of the simulation, for the hours of this winter.
    column : int
        Column of the hourly values that belongs to design and winter.
    start_c : Array, shape (node,)
        Temperatures before the first hour [degC].
    start_ice_j : Array, shape (water node,)
        Latent heat of the ice before the first hour [J].
    outdoor_c : Array, shape (hour,)
        Outdoor air [degC].
    season : Array, shape (hour, 2)
        Cosine and sine of the time of year from its coldest day [-].
    hour_of_day : Array of int, shape (hour,)
        Local standard time [h].
    columns : Array, shape (hour, column), optional
        Sun and sky, as in `Forcing.columns`.
    """

    hourly_output: HourlyOutput
    column: int
    start_c: Array
    start_ice_j: Array
    outdoor_c: Array
    season: Array
    hour_of_day: Array
    columns: Array | None = None

    def mean(self, node: int) -> Array:
        """Mean temperature of a node in each hour, at which its heat flows, (hour,). [degC]"""
        return self.hourly_output.mean_c[:, node, self.column]

    def end(self, node: int, water_nodes: tuple[int, ...]) -> Array:
        """Temperature of a node at the end of each hour; for all but water it is the mean of the hour.

        Parameters
        ----------
        node : int
            Index of the node.
        water_nodes : tuple of int
            Indices of the nodes that are water.

        Returns
        -------
        Array, shape (hour,)
            Temperature [degC].
        """
        if node in water_nodes:
            return self.hourly_output.water_c[:, water_nodes.index(node), self.column]
        return self.mean(node)

    @property
    def tank_c(self) -> Array:
        """Temperature of the tank at the end of each hour, (hour,). [degC]"""
        return self.hourly_output.water_c[:, -1, self.column]

    def vessel(self, name: str, row: int) -> Array:
        """Hourly values of one vessel.

        Parameters
        ----------
        name : str
            Field of `HourlyOutput` with one row for each vessel.
        row : int
            Index of the vessel: beds first, then tanks.

        Returns
        -------
        Array, shape (hour,)
            In the unit of the field.
        """
        return np.asarray(getattr(self.hourly_output, name)[:, row, self.column])


def hours_of(case: SimulationCase, run: SimulationResult, winter: int, design: int = INSTALLED) -> WinterHours:
    """One winter of one design from an hourly simulation.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    run : SimulationResult
        Its simulation with hourly output.
    winter, design : int
        Indices of winter and design.
    """
    assert run.hourly_output is not None
    return winter_hours(case, run.hourly_output, winter, design)


def winter_hours(case: SimulationCase, output: HourlyOutput, winter: int, design: int) -> WinterHours:
    """One winter of one design from hourly output.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    output : HourlyOutput
        Columns design by design, winter within design.
    winter, design : int
        Indices of winter and design.
    """
    weather = case.weather
    column = design * len(weather.winters) + winter
    length = weather.winters[winter].hours
    span = slice(weather.spin_up_h, weather.spin_up_h + length)
    hourly = {name: values[:length] for name, values in vars(output).items() if name not in ("start_c", "start_ice_j")}
    return WinterHours(
        hourly_output=replace(output, **hourly),
        column=column,
        start_c=output.start_c[:, column],
        start_ice_j=output.start_ice_j[:, column],
        outdoor_c=weather.outdoor_c[span, winter],
        season=np.stack([weather.season_cos[span, winter], weather.season_sin[span, winter]], axis=1),
        hour_of_day=np.arange(span.start, span.stop) % 24,
        columns=None if case.forcing.columns is None else case.forcing.columns[span, :, winter],
    )


@dataclass(frozen=True)
class Batch:
    """Designs of one network topology, simulated together.

    Attributes
    ----------
    plans : tuple of Plan
        The designs.
    positions : Array of int, shape (design,)
        Index of each design in the list of plans that it came from.
    network : Network
        The networks of all designs, joined.
    weather : Weather
        The winters.
    """

    plans: tuple[Plan, ...]
    positions: Array
    network: Network
    weather: Weather

    @property
    def floor_c(self) -> Array:
        """Minimum water temperature of each design, (design,). [degC]"""
        return np.array([plan.keep.floor_c for plan in self.plans])

    @property
    def setpoint_c(self) -> Array:
        """Thermostat of each design by local hour, (24, design). [degC]"""
        return np.stack([setpoint_profile(plan) for plan in self.plans], axis=1)

    @property
    def heats_room(self) -> bool:
        """Whether the heater heats the air of the room; the same for all designs of a batch."""
        return self.plans[0].heater.where == "room"

    def part(self, index: Array) -> Batch:
        """The designs of some indices, shape (part,), as a batch."""
        plans = tuple(self.plans[i] for i in index)
        return Batch(plans, self.positions[index], self.network.take(index), self.weather)


def group_by_topology(
    plans: Sequence[Plan], weather: Weather, change: Callable[[Plan], Plan] = lambda plan: plan
) -> list[Batch]:
    """Plans in batches of one network topology each.

    Parameters
    ----------
    plans : sequence of Plan
        The designs.
    weather : Weather
        The winters.
    change : callable
        Change of each plan before its network is built.

    Returns
    -------
    list of Batch
        As few as possible; `positions` are indices in `plans`.
    """
    groups: dict[tuple[object, ...], list[tuple[int, Plan, Network]]] = {}
    for position, plan in enumerate(map(change, plans)):
        network = network_of(plan, weather)
        key = (plan.heater.where, *topology_key(network))
        groups.setdefault(key, []).append((position, plan, network))
    return [
        Batch(
            plans=tuple(plan for _, plan, _ in group),
            positions=np.array([position for position, _, _ in group]),
            network=join_networks([network for _, _, network in group]),
            weather=weather,
        )
        for group in groups.values()
    ]


def topology_key(network: Network) -> tuple[object, ...]:
    """The parts of a network that all designs of one batch have in common, as a key."""
    vessels, room = network.vessels, network.room_air
    return (
        network.nodes,
        network.links,
        network.gains,
        network.heater_share is not None,
        vessels and (vessels.water_nodes, vessels.first_rows, len(vessels.surface_m2)),
        room and tuple(getattr(room, name) is not None for name in MAY_BE_MISSING),
    )
