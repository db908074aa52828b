"""The books of a march: running minima, energy, and whether every joule is accounted for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.air import Array
from thermal.errors import ClosureError
from thermal.network import Drive, Network
from thermal.step import Flows, State, Stepper

CLOSURE_LIMIT = 1e-6


@dataclass
class Ledger:
    """Accumulators of one march; the only mutable value of the engine, written to in place."""

    network: Network
    floor_c: Array
    dt_s: float
    watched: int
    counting: bool
    coldest_c: Array
    warmest_c: Array
    hours_below: Array
    heater_j: Array
    peak_w: Array
    marked_j: Array
    found: dict[str, Array]
    start_j: Array
    entered_w: Array
    temperature_sum: Array
    heater_sum: Array
    varying_sum: Array
    freezing_sum: Array

    @classmethod
    def opened(cls, network: Network, state: State, floor_c: Array, dt_s: float, marks: int) -> Ledger:
        """An empty ledger at the start of a march."""
        n = network.designs
        zeros = np.zeros_like
        return cls(
            network=network,
            floor_c=floor_c,
            dt_s=dt_s,
            watched=network.vessels.lumps[-1] if network.vessels else len(network.nodes) - 1,
            counting=False,
            coldest_c=np.full(n, np.inf),
            warmest_c=np.full(n, -np.inf),
            hours_below=np.zeros(n),
            heater_j=np.zeros(n),
            peak_w=np.zeros(n),
            marked_j=np.zeros((marks, n)),
            found={},
            start_j=_stored(network, state, _capacity(network, state)),
            entered_w=zeros(state.temperature_c),
            temperature_sum=zeros(state.temperature_c),
            heater_sum=np.zeros(n),
            varying_sum=np.zeros(n),
            freezing_sum=np.zeros(n),
        )

    def start_counting(self) -> None:
        """From here on the winter's own hours."""
        self.counting = True

    def add(self, state: State, flows: Flows) -> None:
        """Book one step."""
        self.entered_w += flows.entered_w
        self.temperature_sum += state.temperature_c
        self.heater_sum += flows.heater_w
        self.varying_sum += flows.varying_loss_w
        self.freezing_sum += flows.freezing_w
        if self.counting:
            water = state.temperature_c[self.watched]
            np.minimum(self.coldest_c, water, out=self.coldest_c)
            np.maximum(self.warmest_c, water, out=self.warmest_c)
            np.maximum(self.peak_w, flows.heater_w, out=self.peak_w)
            self.hours_below += water < self.floor_c
            self.heater_j += flows.heater_w

    def note(self, h: int, drive: Drive, winter: Array) -> None:
        """Note the energy of every column with a mark at row h, and the results of every winter that ends."""
        for mark in np.flatnonzero((drive.marks == h).any(axis=1)):
            here = drive.marks[mark, winter] == h
            self.marked_j[mark, here] = self.heater_j[here] * self.dt_s
        ending = drive.end_h[winter] == h
        if not ending.any():
            return
        for name in ("coldest_c", "warmest_c", "hours_below", "heater_j", "peak_w"):
            kept = self.found.setdefault(name, np.zeros(len(winter)))
            kept[ending] = getattr(self, name)[ending]

    def closed(self, tool: Stepper, state: State) -> dict[str, Array]:
        """Every result by its name in `march.Run`, after the books are checked.

        Raises
        ------
        ClosureError
            When a column's books do not balance.
        """
        network = self.network
        loss = (network.outdoor_w_per_k + network.fixed_w_per_k) * self.temperature_sum
        net = self.entered_w - loss
        stored = _stored(network, state, _capacity(network, state)) - self.start_j
        balance = net.sum(axis=0) + self.heater_sum - self.varying_sum + self.freezing_sum - stored / self.dt_s
        through = np.abs(net).sum(axis=0) + np.abs(self.heater_sum) + np.abs(stored) / self.dt_s
        closure = np.abs(balance) / np.maximum(through, 1.0)
        if not (closure < CLOSURE_LIMIT).all():
            raise ClosureError(f"the energy ledger does not close: {np.nanmax(closure):.2e} of the heat that passed")
        self.found["heater_j"] *= self.dt_s
        self.found["hours_below"] *= self.dt_s / 3600.0
        return {**self.found, "marked_j": self.marked_j, "closure": closure}


def _capacity(network: Network, state: State) -> Array:
    """Heat capacity of every node with beds drained where the pump rests."""
    capacity = network.capacity_j_per_k
    vessels = network.vessels
    if vessels is None or len(vessels.lumps) < 2:
        return capacity
    moved = np.where(state.running, 0.0, vessels.drained_j_per_k)
    capacity = capacity.copy()
    capacity[vessels.lumps[0]] -= moved
    capacity[vessels.lumps[1]] += moved
    return capacity


def _stored(network: Network, state: State, capacity: Array) -> Array:
    """Sensible heat above 0 degC in all nodes. [J]"""
    return np.asarray((capacity * state.temperature_c).sum(axis=0))
