"""Every hour of a small batch, for charts, months and paths."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array
from thermal.solver.results import HourlyOutput
from thermal.solver.state import Day, State

AT_HOUR_END = ("water_c", "ratio", "ice_j")


class HourlyRecorder:
    """Collects hourly output day by day."""

    def __init__(self, substeps: int) -> None:
        self.substeps = substeps
        self.start_values: tuple[Array, Array] | None = None  # temperatures and ice
        self.days: list[dict[str, Array]] = []

    def start(self, state: State) -> None:
        """Keep the state before the first hour."""
        self.start_values = state.temperature_c, state.ice_j.copy()

    def add(self, day: Day, state: State, water_nodes: slice) -> None:
        """Keep one day, temperatures still counted from its reference.

        Parameters
        ----------
        day : Day
            The buffers of the day.
        state : State
            Now; updated where the summary says so.
        water_nodes : slice
            Rows of the water nodes.
        """
        reference_c = state.reference.temperature_c
        kept = {
            "mean_c": reference_c + day.mean_k,
            "water_c": reference_c[water_nodes] + day.water_k,
            "heater_w": day.watts.astype(float),
            "ratio": day.ratio.astype(float),
            "condensing_w": day.condensing_w.astype(float),
        }
        if day.exchanges:
            kept["ice_j"] = np.stack(day.ice_j)
            kept |= self._exchange(day)
        self.days.append(kept)

    def _exchange(self, day: Day) -> dict[str, Array]:
        """What each vessel gave off, from the coefficients that held."""
        exchanges = [exchange for exchange in day.exchanges for _ in range(len(day.watts) // len(day.exchanges))]
        coefficients = [exchange.coefficients for exchange in exchanges]
        mass = np.stack([c.mass_kg_s for c in coefficients]).astype(float)
        evaporation = mass * (np.stack([c.water_ratio for c in coefficients]) - day.ratio[:, None].astype(float))
        enthalpies = [exchange.enthalpy_j_per_kg for exchange in exchanges]
        zero = np.zeros(1)
        return {
            "evaporation_kg_s": evaporation,
            "latent_w": evaporation * np.stack(enthalpies),
            "convection_w_per_k": np.stack([c.convection_w_per_k for c in coefficients]).astype(float),
            "longwave_w_per_k": np.stack([c.longwave_w_per_k for c in coefficients]).astype(float),
            "wall_w_per_k": np.stack([c.wall_w_per_k for c in coefficients]).astype(float),
            "leak_w_per_k": np.stack([zero if e.leak_w_per_k is None else e.leak_w_per_k for e in exchanges]),
        }

    def hourly_output(self) -> HourlyOutput | None:
        """The output, steps averaged to hours."""
        if self.start_values is None:
            return None
        names = [name for name in HourlyOutput.__dataclass_fields__ if not name.startswith("start")]
        hours = {name: self._hourly(name) for name in names}
        return HourlyOutput(**hours, start_c=self.start_values[0], start_ice_j=self.start_values[1])

    def _hourly(self, name: str) -> Array:
        steps = [day[name] for day in self.days if name in day]
        if not steps:
            return np.zeros((len(self.days) * 24, 0, 1))
        values = np.concatenate(steps)
        by_hour = values.reshape(len(values) // self.substeps, self.substeps, *values.shape[1:])
        return by_hour[:, -1] if name in AT_HOUR_END else by_hour.mean(axis=1)
