"""The energy balance of a simulation: running minima, energy, and whether every joule is accounted for."""

from __future__ import annotations

import numpy as np

from thermal.climate.forcing import OUTDOOR, SEASON, Forcing
from thermal.core.arrays import Array
from thermal.physics.flood_drain import moved_capacity
from thermal.solver.state import Day, Exchange, PreparedNetwork, State
from thermal.solver.transfer_coefficients import count_steps

CLOSURE_LIMIT = 1e-6  # of the heat that passed
OF_DEVICES = ("dryer_j", "fan_j", "removed_kg", "most_removed_kg")  # that dry the air
KEPT = ("coldest_c", "warmest_c", "hours_below", "heater_j", "peak_w", *OF_DEVICES)


class EnergyBalance:
    """Accumulators of one simulation, a day at a time.

    What enters from outside is booked apart from what the solver did with it, so that a slip in the solver
    shows as a gap: sources and outdoor air from the network's own figures, losses from the temperatures.
    """

    def __init__(self, prepared: PreparedNetwork, state: State, floor_c: Array, marks: int) -> None:
        n = prepared.network.designs
        self.prepared = prepared
        self.floor_c = floor_c
        self.counting = False
        self.coldest_c = np.full(n, np.inf)
        self.warmest_c = np.full(n, -np.inf)
        self.hours_below = np.zeros(n)
        self.heater_j = np.zeros(n)
        self.peak_w = np.full(n, -np.inf)
        self.dryer_j, self.fan_j, self.removed_kg, self.most_removed_kg = np.zeros((4, n))
        self.marked_j, self.device_marked_j = np.zeros((2, marks, n))
        self.at_end = {name: np.zeros(n) for name in KEPT}
        self.start_j = self._stored_heat(state)
        self.mean_sum = np.zeros(prepared.rhs[prepared.booked_nodes].shape)
        self.heater_sum = np.zeros(n)
        self.lost_sum = np.zeros(n)  # left by evaporation and through conductances that change

    def start_winter(self) -> None:
        """From here on the winter's own hours."""
        self.counting = True

    def add(self, day: Day, state: State) -> None:
        """Book one day, temperatures still counted from its reference.

        Parameters
        ----------
        day : Day
            The buffers of the day.
        state : State
            Now; updated where the summary says so.
        """
        dt_s, reference_c = self.prepared.dt_s, state.reference.temperature_c
        watts = day.watts_sum
        self.mean_sum += day.mean_sum
        self.mean_sum += len(day.watts) * reference_c[self.prepared.booked_nodes]
        self.heater_sum += watts
        self.lost_sum += day.vapour_w
        self.lost_sum += day.leak_w
        self.lost_sum -= day.freezing_j / dt_s
        self._add_losses_to_given_air(day, reference_c)
        if self.counting:
            last_c = reference_c[-1]
            water = day.mean_k[:, -1]
            if self.prepared.network.vessels is not None:
                water, last_c = day.water_k[:, -1], reference_c[self.prepared.water_nodes][-1]
            np.minimum(self.coldest_c, last_c + np.minimum.reduce(water, axis=0), out=self.coldest_c)
            np.maximum(self.warmest_c, last_c + np.maximum.reduce(water, axis=0), out=self.warmest_c)
            np.maximum(self.peak_w, np.maximum.reduce(day.watts, axis=0), out=self.peak_w)
            below = water < (self.floor_c - last_c).astype(water.dtype)
            self.hours_below += count_steps(below) * (dt_s / 3600.0)
            self.heater_j += watts * dt_s
            self._add_devices(day)

    def _add_devices(self, day: Day) -> None:
        """What a dehumidifier and a fan by humidity used and took."""
        dt_s = self.prepared.dt_s
        if len(day.drying_w):
            self.dryer_j += dt_s * day.drying_w.sum(axis=0, dtype=float)
            removed_kg = dt_s * day.removed_kg_s.sum(axis=0, dtype=float)
            self.removed_kg += removed_kg
            np.maximum(self.most_removed_kg, removed_kg, out=self.most_removed_kg)
        if len(day.fan_w):
            self.fan_j += dt_s * day.fan_w.sum(axis=0, dtype=float)

    def _add_losses_to_given_air(self, day: Day, reference_c: Array) -> None:
        """The water's loss to air of a given temperature, whose conductances change from hour to hour."""
        room = self.prepared.network.room_air
        if room is None or room.node is not None:
            return
        for hour, (mean, exchange) in self._means(day):
            above_air_k = reference_c[self.prepared.water_nodes] - room.given_mean_c(hour)
            conductance = exchange.to_air_w_per_k + exchange.longwave_w_per_k
            self.lost_sum += (conductance * (above_air_k + mean[self.prepared.water_nodes])).sum(axis=0)

    def _means(self, day: Day) -> list[tuple[int, tuple[Array, Exchange]]]:
        """Hour of every step, its temperatures and the coefficients they go with."""
        steps = len(day.mean_k) // len(day.exchanges)
        return [(step // steps, (mean, day.exchanges[step // steps])) for step, mean in enumerate(day.mean_k)]

    def note(self, h: int, forcing: Forcing, winter: Array) -> None:
        """Note the energy of every column with a mark at row h, and the results of every winter that ends.

        Parameters
        ----------
        h : int
            Row of the forcing.
        forcing : Forcing
            Outdoor conditions of every winter.
        winter : Array, shape (column,)
            Which winter each column runs.
        """
        if h in forcing.mark_rows:
            for mark in np.flatnonzero((forcing.marks == h).any(axis=1)):
                columns = forcing.marks[mark, winter] == h
                self.marked_j[mark, columns] = self.heater_j[columns]
                self.device_marked_j[mark, columns] = (self.dryer_j + self.fan_j)[columns]
        if h in forcing.end_rows:
            ending = forcing.end_h[winter] == h
            for name in KEPT:
                self.at_end[name][ending] = getattr(self, name)[ending]

    def results(self, state: State, forcing: Forcing, winter: Array, hours: int) -> dict[str, Array]:
        """Every result by its name in `SimulationResult`, closure among them.

        Parameters
        ----------
        state : State
            Now; updated where the summary says so.
        forcing : Forcing
            Outdoor conditions of every winter.
        winter : Array, shape (column,)
            Which winter each column ran.
        hours : int
            Hours simulated, whole days.
        """
        prepared, network = self.prepared, self.prepared.network
        per_hour = round(3600.0 / prepared.dt_s)
        sums = per_hour * forcing.channels()[:hours].sum(axis=0)[:, winter]
        entered = per_hour * (hours // 24) * network.source_w.sum(axis=0)
        entered += network.outdoor_w_per_k * sums[OUTDOOR]
        entered += network.season_w[0] * sums[SEASON] + network.season_w[1] * sums[SEASON + 1]
        columns = forcing.chosen_columns([column for _, column in network.gains])[:hours]
        column_sums = per_hour * columns.sum(axis=0, dtype=float)
        for index, (node, _) in enumerate(network.gains):
            assert network.gain_w is not None
            entered[node] += network.gain_w[index] * column_sums[index, winter]
        net, booked = entered, prepared.booked_nodes
        net[booked] -= prepared.outside_w_per_k[booked] * self.mean_sum
        stored = (self._stored_heat(state) - self.start_j) / prepared.dt_s
        balance = net.sum(axis=0) + self.heater_sum - self.lost_sum - stored
        through = np.abs(net).sum(axis=0) + np.abs(self.heater_sum) + np.abs(self.lost_sum) + np.abs(stored)
        closure = np.abs(balance) / np.maximum(through, 1.0)
        marked = {"marked_j": self.marked_j, "device_marked_j": self.device_marked_j}
        return {**self.at_end, **marked, "closure": closure}

    def _stored_heat(self, state: State) -> Array:
        """Sensible heat above 0 degC in all nodes [J], beds drained where the pump rests."""
        capacity = self.prepared.network.capacity_j_per_k
        stored = np.asarray((capacity * state.temperature_c).sum(axis=0))
        vessels = self.prepared.network.vessels
        if vessels is None or len(vessels.in_circuit) < 2:
            return stored
        bed, tank = vessels.in_circuit
        moved = moved_capacity(state.pump_runs, vessels.drained_j_per_k)
        return np.asarray(stored + moved * (state.temperature_c[tank] - state.temperature_c[bed]))
