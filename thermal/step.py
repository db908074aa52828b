"""One implicit step of a batch: the heat and vapour balance of every node."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from thermal.air import CP_AIR, Array, dry_air_density, vapour_pressure
from thermal.elimination import Hold, Reduced, reduced, solve
from thermal.exchange import Coefficients, coefficients, moisture
from thermal.network import Control, Drive, Network, RoomAir, Vessels
from thermal.paths.infiltration import leakage_flow
from thermal.paths.surface import replaced_vapour_enthalpy

HOUR_S = 3600.0
SETTLE_STEPS, SETTLE_DT_S = 12, 10 * 86400.0  # near-steady start under the spin-up's mean weather
CONDENSATION_J_PER_KG = 2.5e6  # latent heat near 0 degC, where walls run wet


class State(NamedTuple):
    """Everything a step hands to the next, one column a design-winter."""

    temperature_c: Array  # (node, column)
    ratio: Array  # humidity ratio of the room's air, (column,)
    wall_excess: Array  # (vessel, column)
    ice_j: Array  # latent heat given up by freezing, (lump, column)
    running: Array  # whether the pump ran, (column,)


class Flows(NamedTuple):
    """What one step moved [W]; shape (column,) unless said otherwise."""

    heater_w: Array
    entered_w: Array  # (node, column): all that came in from outside the linear network
    varying_loss_w: Array  # to the outside through conductances that change
    freezing_w: Array
    coefficients: Coefficients | None
    latent_w: Array  # (vessel, column)
    longwave_w: Array  # (vessel, column)
    evaporation_kg_s: Array  # (vessel, column)
    condensing_w: Array
    leak_w_per_k: Array


@dataclass(frozen=True)
class Stepper:
    """A network made ready for steps of one length."""

    network: Network
    reduced: Reduced
    dt_s: float
    pressure_pa: float
    heat_w_per_k: Array  # capacity over step, (node, column)
    outdoor_rows: slice
    season_rows: slice
    vessel_lump: tuple[int, ...]  # node of each vessel row
    pump_stops: bool  # whether any pump ever stops and lets a bed drain
    leaky: bool

    def step(self, state: State, weather: Array, hour: int, hold: Hold) -> tuple[State, Flows]:
        """Advance by one step.

        Parameters
        ----------
        weather : Array, shape (5, column)
            Outdoor degC, humidity ratio, wind m/s, and the season's cosine and sine.
        hour : int
            Local hour of the day.
        """
        network = self.network
        entered = network.source_w[hour].copy()
        entered[self.outdoor_rows] += network.outdoor_w_per_k[self.outdoor_rows] * weather[0]
        rows = self.season_rows
        entered[rows] += network.season_w[0, rows] * weather[3] + network.season_w[1, rows] * weather[4]
        if network.vessels is None or network.room_air is None:
            return self._bare(state, entered, hold)
        return self._wet(state, weather, hour, hold, entered, network.vessels, network.room_air)

    def _bare(self, state: State, entered: Array, hold: Hold) -> tuple[State, Flows]:
        """A network without water."""
        temperature = np.empty_like(state.temperature_c)
        flux = entered + self.heat_w_per_k * state.temperature_c
        watts = solve(self.reduced, self.reduced.diagonal.copy(), self.reduced.between.copy(), flux, hold, temperature)
        zero = np.zeros_like(watts)
        none = np.zeros((0, len(watts)))
        flows = Flows(watts, entered, zero, zero, None, none, none, none, zero, zero)
        return state._replace(temperature_c=temperature), flows

    def _wet(
        self, state: State, weather: Array, hour: int, hold: Hold, entered: Array, vessels: Vessels, room: RoomAir
    ) -> tuple[State, Flows]:
        """A network with vessels of water in a room's air."""
        state, capacity = self._drained(state, hour, vessels)
        t = state.temperature_c
        water = t[list(self.vessel_lump)]
        air = room.given_c if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        c = coefficients(vessels, water, air, radiant, state.ratio, state.wall_excess, self.pressure_pa)

        leak_kg_s, leak_w_per_k = self._leak(room, air, weather)
        cold = np.stack([air - room.coldness * (air - weather[0]), air])
        wet = moisture(
            room, c.mass_kg_s, c.water_ratio, cold, state.ratio, weather[1], room.change_kg_s + leak_kg_s,
            self.dt_s, self.pressure_pa,
        )  # fmt: skip
        latent = wet.evaporation_kg_s * replaced_vapour_enthalpy(water, vessels.tap_c)
        longwave = c.longwave_w_per_k * (water - radiant)
        condensing = CONDENSATION_J_PER_KG * wet.condensation_kg_s
        lumps = slice(vessels.lumps[0], vessels.lumps[-1] + 1)
        entered[lumps] -= _by_lump(latent + longwave, vessels)
        if room.radiant_node is not None:
            entered[room.radiant_node] += longwave.sum(axis=0) + condensing

        diagonal, between = self.reduced.diagonal.copy(), self.reduced.between.copy()
        to_air = _by_lump(c.convection_w_per_k + c.wall_w_per_k, vessels)
        flow = vessels.flow_w_per_k[hour] if len(vessels.lumps) > 1 else None
        _couple(diagonal, between, self.reduced.first, vessels, room, to_air, leak_w_per_k, flow)
        if room.node is None:
            entered[lumps] += to_air * room.given_c
        elif self.leaky:
            entered[room.node] += leak_w_per_k * weather[0]
        heat = self.heat_w_per_k
        if capacity is not None:
            heat = heat.copy()
            heat[lumps] = capacity / self.dt_s
            diagonal[lumps.start - self.reduced.first : lumps.stop - self.reduced.first] += heat[lumps] - self.heat_w_per_k[lumps]
        temperature = np.empty_like(t)
        watts = solve(self.reduced, diagonal, between, entered + heat * t, hold, temperature)
        ice, freezing = _frozen(temperature[lumps], state.ice_j, heat[lumps] * self.dt_s, vessels.ice_limit_j)
        varying = leak_w_per_k * temperature[room.node] if room.node is not None else (to_air * temperature[lumps]).sum(axis=0)
        new = State(temperature, wet.ratio, c.wall_excess, ice, state.running)
        return new, Flows(
            watts, entered, varying, freezing / self.dt_s, c, latent, longwave, wet.evaporation_kg_s, condensing, leak_w_per_k
        )

    def _leak(self, room: RoomAir, air: Array, weather: Array) -> tuple[Array, Array]:
        """Outside air through cracks: kg/s and W/K."""
        if not self.leaky:
            return np.zeros(1), np.zeros(1)
        density = dry_air_density(weather[0], vapour_pressure(weather[1], self.pressure_pa), self.pressure_pa)
        kg_s = density * leakage_flow(room.leak_cm2, air - weather[0], weather[2])
        return kg_s, kg_s * CP_AIR

    def _drained(self, state: State, hour: int, vessels: Vessels) -> tuple[State, Array | None]:
        """Move a draining bed's water to the tank, or a refilling one's back, when the pump changes.

        Returns the state and, where pumps stop at all, the heat capacity of the lumps now.
        """
        if not self.pump_stops:
            return state, None
        bed, tank = vessels.lumps
        runs = vessels.flow_w_per_k[hour] > 0
        moved = vessels.drained_j_per_k
        capacity = self.network.capacity_j_per_k[[bed, tank]]
        drained = capacity + np.stack([-moved, moved])
        t = state.temperature_c.copy()
        stops, starts = state.running & ~runs, runs & ~state.running
        t[tank] = np.where(stops, (capacity[1] * t[tank] + moved * t[bed]) / drained[1], t[tank])
        t[bed] = np.where(starts, (drained[0] * t[bed] + moved * t[tank]) / capacity[0], t[bed])
        return state._replace(temperature_c=t, running=runs), np.where(runs, capacity, drained)


def stepper(network: Network, dt_s: float, pressure_pa: float) -> Stepper:
    """A network made ready for steps of dt_s."""
    vessels, room = network.vessels, network.room_air
    constant = len(network.nodes) - 1
    lump_of: tuple[int, ...] = ()
    stops = leaky = False
    if vessels is not None and room is not None:
        changing = vessels.lumps if room.node is None else (*vessels.lumps, room.node)
        constant = min(changing)
        bounds = (*vessels.first_rows, len(vessels.surface_m2))
        lump_of = tuple(
            lump for lump, first, stop in zip(vessels.lumps, bounds, bounds[1:], strict=False) for _ in range(first, stop)
        )
        off = ~(vessels.flow_w_per_k > 0)
        stops = len(vessels.lumps) > 1 and bool((off & (vessels.drained_j_per_k > 0)).any())
        leaky = room.node is not None and bool(room.leak_cm2.any())
    return Stepper(
        network=network,
        reduced=reduced(network, dt_s, constant),
        dt_s=dt_s,
        pressure_pa=pressure_pa,
        heat_w_per_k=network.capacity_j_per_k / dt_s,
        outdoor_rows=_rows_used(network.outdoor_w_per_k),
        season_rows=_rows_used(np.abs(network.season_w).sum(axis=0)),
        vessel_lump=lump_of,
        pump_stops=stops,
        leaky=leaky,
    )


def settled(network: Network, drive: Drive, control: Control, winter: Array) -> State:
    """A near-steady state under the mean weather of the first days, to start the spin-up from."""
    mean = drive.channels()[: max(drive.spin_up_h, 24)].mean(axis=0)[:, winter]
    steady = Network(**{**vars(network), "source_w": np.repeat(network.source_w.mean(axis=0)[None], 24, axis=0)})
    tool = stepper(steady, SETTLE_DT_S, drive.pressure_pa)
    state = unsettled(network, np.full_like(network.capacity_j_per_k, 10.0), mean)
    hold = Hold(control.setpoint_c.mean(axis=0), control.min_w, control.max_w)
    for _ in range(SETTLE_STEPS):
        state, _ = tool.step(state, mean, 12, hold)
    return state._replace(ice_j=np.zeros_like(state.ice_j))


def unsettled(network: Network, start_c: Array, weather: Array) -> State:
    """A state of given temperatures, the room's air as dry as outdoors, the pump as at midnight."""
    vessels = network.vessels
    if vessels is None:
        none = np.zeros((0, network.designs))
        return State(start_c.copy(), np.zeros(network.designs), none, none, np.zeros(network.designs, dtype=bool))
    return State(
        temperature_c=start_c.copy(),
        ratio=weather[1].copy(),
        wall_excess=np.full_like(vessels.wall_r, 0.5),
        ice_j=np.zeros_like(vessels.ice_limit_j),
        running=vessels.flow_w_per_k[0] > 0,
    )


def snapshot(state: State, flows: Flows) -> tuple[Array, ...]:
    """What a trace keeps of a step, in the order of `trace.Trace`."""
    c = flows.coefficients
    none = flows.latent_w
    return (
        state.temperature_c,
        flows.heater_w,
        state.ratio,
        flows.latent_w,
        flows.longwave_w,
        c.convection_w_per_k if c else none,
        c.wall_w_per_k if c else none,
        flows.evaporation_kg_s,
        flows.condensing_w,
        flows.leak_w_per_k,
        state.ice_j,
    )


def _by_lump(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each lump."""
    if len(rows) == len(vessels.lumps):
        return rows
    return np.add.reduceat(rows, vessels.first_rows, axis=0)


def _couple(
    diagonal: Array,
    between: Array,
    first: int,
    vessels: Vessels,
    room: RoomAir,
    to_air: Array,
    leak_w_per_k: Array,
    flow_w_per_k: Array | None,
) -> None:
    """Add the hour's changing conductances to the reduced rows, in place."""
    lumps = slice(vessels.lumps[0] - first, vessels.lumps[-1] + 1 - first)
    diagonal[lumps] += to_air
    if room.node is not None:
        air = room.node - first
        diagonal[air] += to_air.sum(axis=0) + leak_w_per_k
        if air < lumps.start:
            between[air, lumps] += to_air
        else:
            between[lumps, air] += to_air
    if flow_w_per_k is not None:
        diagonal[lumps] += flow_w_per_k
        between[lumps.start, lumps.stop - 1] += flow_w_per_k


def _frozen(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method, split from the step (Voller & Cross 1981); energy is conserved exactly.
    Returns the ice [J] and the heat it gave the water [J], summed over lumps.
    """
    if water_c.min() >= 0.0 and not ice_j.any():
        return ice_j, np.zeros(water_c.shape[-1])
    given = np.clip(-capacity_j_per_k * water_c, -ice_j, limit_j - ice_j)
    water_c += given / capacity_j_per_k
    return ice_j + given, given.sum(axis=0)


def _rows_used(rows: Array) -> slice:
    """The smallest run of rows that holds every non-zero one."""
    used = np.flatnonzero(rows.any(axis=-1))
    return slice(int(used[0]), int(used[-1]) + 1) if used.size else slice(0, 0)
