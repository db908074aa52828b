"""What else a simulation may keep of every column: weighted energy by month, damp hours, the state at one hour.

A batch keeps no histories; whatever a decision wants of thousands of designs is reduced here day by day.
"""

from __future__ import annotations

import numpy as np

from thermal.climate.forcing import OUTDOOR, Forcing
from thermal.core.arrays import Array
from thermal.core.crossing import hours_until
from thermal.network.model import Network, RoomAir
from thermal.physics.condensation import corner_drop_share, is_condensing, is_mould_possible, surface_temperature
from thermal.physics.moist_air import vapour_pressure
from thermal.solver.results import OutputRequest
from thermal.solver.state import Day, State
from thermal.solver.transfer_coefficients import count_steps


class SummaryRecorder:
    """Keeps what an `OutputRequest` asks for; columns as in the simulation."""

    def __init__(
        self, request: OutputRequest, network: Network, forcing: Forcing, winter: Array, floor_c: Array
    ) -> None:
        nodes, n = network.capacity_j_per_k.shape
        weights = 0 if request.weights is None else len(request.weights)
        snapshots = 0 if request.snapshot_h is None else len(request.snapshot_h)
        self.floor_c = floor_c
        self.tank = network.vessels.water_nodes[-1] if network.vessels else nodes - 1
        self.request, self.room, self.forcing, self.winter = request, network.room_air, forcing, winter
        self.first_c = np.zeros(n)  # of the watched water at the start of the day
        self.weighted, self.device_weighted = np.zeros((2, weights, n))
        self.damp = np.zeros((2, n))  # hours of condensation and of mould
        self.results = {
            "weighted_j": np.zeros((weights, len(forcing.marks), n)),
            "device_weighted_j": np.zeros((weights, len(forcing.marks), n)),
            "damp_h": np.zeros((2, n)),
            "snapshot_c": np.full((snapshots, nodes, n), np.nan),
            "first_below_h": np.full(n, np.inf),
        }

    def before(self, state: State, h: int) -> None:
        """Keep the temperatures at row h: those asked for, and the watched water's."""
        if self.request.first_below:
            self.first_c = state.temperature_c[self.tank]
        if self.request.snapshot_h is None or h not in self.request.snapshot_h:
            return
        for kept, rows in zip(self.results["snapshot_c"], self.request.snapshot_h, strict=True):
            columns = rows[self.winter] == h
            kept[:, columns] = state.temperature_c[:, columns]

    def add(self, day: Day, state: State, weather: Array, h: int, dt_s: float) -> None:
        """Book the day that began at row h, temperatures still counted from its reference.

        Parameters
        ----------
        day : Day
            The buffers of the day.
        state : State
            Now; updated where the summary says so.
        weather : Array, shape (24, channel, column)
            Of the day.
        h : int
            Row of the forcing.
        dt_s : float
            Length of a step [s].
        """
        reference_c = state.reference.temperature_c
        if self.request.weights is not None:
            rows, of_devices = slice(h, h + 24), self.request.device_weights
            for total, weight in zip(self.weighted, self.request.weights[:, rows], strict=True):
                total += dt_s * self._weight_watts(weight, day.watts)
            weights = self.request.weights if of_devices is None else of_devices
            for device_w in (watts for watts in (day.drying_w, day.fan_w) if len(watts)):
                for total, weight in zip(self.device_weighted, weights[:, rows], strict=True):
                    total += dt_s * self._weight_watts(weight, device_w)
        if self.request.damp and self.room is not None and self.room.node is not None:
            self._add_damp(day, reference_c, weather, self.room, dt_s / 3600.0)
        if self.request.first_below:
            curve = np.vstack([self.first_c, reference_c[self.tank] + day.water_k[:, -1]])
            hours = h + dt_s / 3600.0 * hours_until(curve, self.floor_c)
            np.minimum(self.results["first_below_h"], hours, out=self.results["first_below_h"])

    def _weight_watts(self, weight: Array, watts: Array) -> Array:
        """A day's watts of shape (step, column), each step times the weight of its hour, (column,)."""
        hourly = np.repeat(weight, len(watts) // 24, axis=0).take(self.winter, axis=1)
        return np.asarray(np.einsum("hc,hc->c", hourly, watts.astype(float)))

    def _add_damp(self, day: Day, reference_c: Array, weather: Array, room: RoomAir, hours: float) -> None:
        temperatures = reference_c.astype(day.mean_k.dtype)
        inside = temperatures[room.node] + day.mean_k[:, room.node]
        if room.beyond_node is None:
            beyond = np.repeat(weather[:, OUTDOOR], len(inside) // 24, axis=0)
        else:
            beyond = temperatures[room.beyond_node] + day.mean_k[:, room.beyond_node]
        drop_share = room.coldness.astype(inside.dtype)
        vapour = vapour_pressure(day.ratio, self.forcing.pressure_pa)
        side, corner = (
            surface_temperature(inside, beyond, share) for share in (drop_share, corner_drop_share(drop_share))
        )
        self.damp[0] += hours * count_steps(is_condensing(vapour, side))
        self.damp[1] += hours * count_steps(is_mould_possible(vapour, corner))

    def note(self, h: int) -> None:
        """Keep the weighted energy of columns with a mark at row h, and the damp hours of winters that end."""
        if self.request.weights is not None and h in self.forcing.mark_rows:
            for mark in np.flatnonzero((self.forcing.marks == h).any(axis=1)):
                columns = self.forcing.marks[mark, self.winter] == h
                self.results["weighted_j"][:, mark, columns] = self.weighted[:, columns]
                self.results["device_weighted_j"][:, mark, columns] = self.device_weighted[:, columns]
        if h in self.forcing.end_rows:
            columns = self.forcing.end_h[self.winter] == h
            self.results["damp_h"][:, columns] = self.damp[:, columns]
