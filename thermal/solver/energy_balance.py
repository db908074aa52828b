"""The books of a march: running minima, energy, and whether every joule is accounted for."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array
from thermal.errors import ClosureError
from thermal.network.model import Forcing
from thermal.physics.flood_drain import moved_capacity
from thermal.solver.state import Day, Exchange, State
from thermal.solver.time_step import OUTDOOR, TimeStepper

CLOSURE_LIMIT = 1e-6
KEPT = ("coldest_c", "warmest_c", "hours_below", "heater_j", "peak_w")


class EnergyBalance:
    """Accumulators of one march, a day at a time; with the day's buffers the engine's only mutable value.

    What enters from outside is booked apart from what the solver did with it, so that a slip in the solver
    shows as a gap: sources and outdoor air from the network's own figures, losses from the temperatures.
    """

    def __init__(self, stepper: TimeStepper, state: State, floor_c: Array, marks: int) -> None:
        n = stepper.network.designs
        self.stepper = stepper
        self.floor_c = floor_c
        self.counting = False
        self.coldest_c = np.full(n, np.inf)
        self.warmest_c = np.full(n, -np.inf)
        self.hours_below = np.zeros(n)
        self.heater_j = np.zeros(n)
        self.peak_w = np.full(n, -np.inf)
        self.marked_j = np.zeros((marks, n))
        self.found = {name: np.zeros(n) for name in KEPT}
        self.start_j = self._stored(state)
        self.mean_sum = np.zeros(stepper.flux_booked.shape)
        self.heater_sum = np.zeros(n)
        self.lost_sum = np.zeros(n)  # left by evaporation and through conductances that change

    def start_winter(self) -> None:
        """From here on the winter's own hours."""
        self.counting = True

    def add(self, day: Day, state: State, weather: Array) -> None:
        """Book one day, temperatures still counted from its base. weather has shape (24, channel, column)."""
        dt_s, base_c = self.stepper.dt_s, state.reference.temperature_c
        watts = day.watts_sum
        self.mean_sum += day.mean_sum
        self.mean_sum += len(day.watts) * base_c[self.stepper.source_terms.booked]
        self.heater_sum += watts
        self.lost_sum += day.vapour_w
        self.lost_sum -= day.freezing_j / dt_s
        self._changing(day, base_c, weather)
        if self.counting:
            last_c = base_c[-1]
            water = day.all_mean_k[:, -1]
            if self.stepper.network.vessels is not None:
                water, last_c = day.all_water_k[:, -1], base_c[self.stepper.water_nodes][-1]
            np.minimum(self.coldest_c, last_c + np.minimum.reduce(water, axis=0), out=self.coldest_c)
            np.maximum(self.warmest_c, last_c + np.maximum.reduce(water, axis=0), out=self.warmest_c)
            np.maximum(self.peak_w, np.maximum.reduce(day.all_watts, axis=0), out=self.peak_w)
            below = water < (self.floor_c - last_c).astype(water.dtype)
            self.hours_below += np.add.reduce(below.view(np.uint8), axis=0, dtype=np.uint16) * (dt_s / 3600.0)
            self.heater_j += watts * dt_s

    def _changing(self, day: Day, base_c: Array, weather: Array) -> None:
        """Loss through conductances to the outside that change from hour to hour."""
        room = self.stepper.network.room_air
        if room is None:
            return
        if room.node is None:
            above_air = base_c[self.stepper.water_nodes] - room.given_c
            for mean, water in self._means(day):
                conductance = water.to_air_w_per_k + water.longwave_w_per_k
                self.lost_sum += (conductance * (above_air + mean[self.stepper.water_nodes])).sum(axis=0)
        elif self.stepper.leaky:
            steps = len(day.watts) // 24
            for step, (mean, water) in enumerate(self._means(day)):
                outdoor = weather[step // steps, OUTDOOR]
                self.lost_sum += water.leak_w_per_k * (base_c[room.node] + mean[room.node] - outdoor)

    def _means(self, day: Day) -> list[tuple[Array, Exchange]]:
        """Temperatures of every step with the coefficients they go with."""
        assert day.mean_k is not None
        steps = len(day.mean_k) // len(day.exchanges)
        return [(mean, day.exchanges[step // steps]) for step, mean in enumerate(day.mean_k)]

    def note(self, h: int, forcing: Forcing, winter: Array) -> None:
        """Note the energy of every column with a mark at row h, and the results of every winter that ends."""
        if h in forcing.mark_rows:
            for mark in np.flatnonzero((forcing.marks == h).any(axis=1)):
                here = forcing.marks[mark, winter] == h
                self.marked_j[mark, here] = self.heater_j[here]
        if h in forcing.end_rows:
            ending = forcing.end_h[winter] == h
            for name in KEPT:
                self.found[name][ending] = getattr(self, name)[ending]

    def closed(self, state: State, forcing: Forcing, winter: Array, hours: int) -> dict[str, Array]:
        """Every result by its name in `march.Run`, after the books are checked.

        Parameters
        ----------
        winter : Array, shape (column,)
            Which winter each column ran.
        hours : int
            Hours marched, whole days.

        Raises
        ------
        ClosureError
            When a column's books do not balance.
        """
        stepper, network = self.stepper, self.stepper.network
        per_hour = round(3600.0 / stepper.dt_s)
        sums = per_hour * forcing.channels()[:hours].sum(axis=0)[:, winter]
        entered = per_hour * (hours // 24) * network.source_w.sum(axis=0)
        entered += network.outdoor_w_per_k * sums[OUTDOOR]
        entered += network.season_w[0] * sums[-2] + network.season_w[1] * sums[-1]
        net, booked = entered, stepper.source_terms.booked
        net[booked] -= (network.outdoor_w_per_k + network.fixed_w_per_k)[booked] * self.mean_sum
        stored = (self._stored(state) - self.start_j) / stepper.dt_s
        balance = net.sum(axis=0) + self.heater_sum - self.lost_sum - stored
        through = np.abs(net).sum(axis=0) + np.abs(self.heater_sum) + np.abs(self.lost_sum) + np.abs(stored)
        closure = np.abs(balance) / np.maximum(through, 1.0)
        if not (closure < CLOSURE_LIMIT).all():
            raise ClosureError(
                f"Internal error: energy balance is off by {np.nanmax(closure):.2e} of the heat exchanged. Please"
                " report it with your plan."
            )
        return {**self.found, "marked_j": self.marked_j, "closure": closure}

    def _stored(self, state: State) -> Array:
        """Sensible heat above 0 degC in all nodes [J], beds drained where the pump rests."""
        capacity = self.stepper.network.capacity_j_per_k
        stored = np.asarray((capacity * state.temperature_c).sum(axis=0))
        vessels = self.stepper.network.vessels
        if vessels is None or len(vessels.water_nodes) < 2:
            return stored
        bed, tank = vessels.water_nodes
        moved = moved_capacity(state.running, vessels.drained_j_per_k)
        return np.asarray(stored + moved * (state.temperature_c[tank] - state.temperature_c[bed]))
