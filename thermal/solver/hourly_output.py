"""Every hour of a small batch, for charts, months and paths."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.core.arrays import Array
from thermal.solver.state import Day, State


@dataclass(frozen=True)
class HourlyOutput:
    """Hourly values after the spin-up; arrays of shape (hour, ..., column).

    Columns run design by design, winter within design. `mean_c` are the temperatures at which heat flowed in
    the hour; `water_c`, `ratio` and `ice_j` the values at its end; flows are the hour's means.
    """

    mean_c: Array  # (hour, node, column)
    water_c: Array  # (hour, lump, column)
    heater_w: Array
    ratio: Array
    latent_w: Array  # (hour, vessel, column): evaporation and its make-up water
    evaporation_kg_s: Array
    convection_w_per_k: Array
    longwave_w_per_k: Array
    wall_w_per_k: Array
    condensing_w: Array
    leak_w_per_k: Array
    ice_j: Array  # (hour, lump, column)
    start_c: Array  # (node, column): before the first hour
    start_ice_j: Array  # (lump, column)


ENDS = ("water_c", "ratio", "ice_j")


class HourlyRecorder:
    """Collects a trace day by day."""

    def __init__(self, substeps: int) -> None:
        self.substeps = substeps
        self.begun: tuple[Array, Array] | None = None  # temperatures and ice
        self.days: list[dict[str, Array]] = []

    def start(self, state: State) -> None:
        """Keep the state before the first hour."""
        self.begun = state.temperature_c, state.ice_j.copy()

    def add(self, day: Day, state: State, water_nodes: slice) -> None:
        """Keep one day, temperatures still counted from its base."""
        base_c = state.reference.temperature_c
        kept = {
            "mean_c": base_c + day.all_mean_k,
            "water_c": base_c[water_nodes] + day.all_water_k,
            "heater_w": day.all_watts.astype(float),
            "ratio": day.all_ratio.astype(float),
            "condensing_w": day.all_condensing_w.astype(float),
        }
        if day.exchanges:
            kept["ice_j"] = np.stack(day.ice_j)
            kept |= self._exchanged(day)
        self.days.append(kept)

    def _exchanged(self, day: Day) -> dict[str, Array]:
        """What each vessel gave off, from the coefficients that held."""
        water = [one for one in day.exchanges for _ in range(len(day.watts) // len(day.exchanges))]
        every = [one.coefficients for one in water]
        mass = np.stack([c.mass_kg_s for c in every]).astype(float)
        evaporation = mass * (np.stack([c.water_ratio for c in every]) - day.all_ratio[:, None].astype(float))
        enthalpies = [one.enthalpy_j_per_kg for one in water]
        zero = np.zeros(1)
        return {
            "evaporation_kg_s": evaporation,
            "latent_w": evaporation * np.stack(enthalpies),
            "convection_w_per_k": np.stack([c.convection_w_per_k for c in every]).astype(float),
            "longwave_w_per_k": np.stack([c.longwave_w_per_k for c in every]).astype(float),
            "wall_w_per_k": np.stack([c.wall_w_per_k for c in every]).astype(float),
            "leak_w_per_k": np.stack([zero if one.leak_w_per_k is None else one.leak_w_per_k for one in water]),
        }

    def hourly_output(self) -> HourlyOutput | None:
        """The trace, steps averaged to hours."""
        if self.begun is None:
            return None
        names = [name for name in HourlyOutput.__dataclass_fields__ if not name.startswith("start")]
        hours = {name: self._hourly(name) for name in names}
        return HourlyOutput(**hours, start_c=self.begun[0], start_ice_j=self.begun[1])

    def _hourly(self, name: str) -> Array:
        steps = [day[name] for day in self.days if name in day]
        if not steps:
            return np.zeros((len(self.days) * 24, 0, 1))
        every = np.concatenate(steps)
        by_hour = every.reshape(len(every) // self.substeps, self.substeps, *every.shape[1:])
        return by_hour[:, -1] if name in ENDS else by_hour.mean(axis=1)
