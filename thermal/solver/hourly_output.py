"""Every hour of a small batch, for charts, months and paths."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from thermal.core.arrays import Array
from thermal.solver.results import HourlyOutput
from thermal.solver.state import Day, State

AT_HOUR_END = ("water_c", "ratio", "ice_j")
DOUBLE = ("mean_c", "water_c", "heater_w")  # of which differences and sums are taken; others as they were worked out
OF_EVERY_STEP = ("mean_c", "ice_j")
EXCHANGED = (
    "evaporation_kg_s", "latent_w", "convection_w_per_k", "longwave_w_per_k", "wall_w_per_k", "leak_w_per_k",
)  # fmt: skip
STARTS = ("start_c", "start_ice_j")


class HourlyRecorder:
    """Collects hourly output day by day, in arrays as large as the whole run from the beginning.

    Of the columns only the first ones are kept where so many are asked for.
    """

    def __init__(self, substeps: int, hours: int, names: tuple[str, ...] = (), columns: int | None = None) -> None:
        fields = tuple(name for name in HourlyOutput.__dataclass_fields__ if name not in STARTS)
        self.substeps, self.hours, self.names, self.columns = substeps, hours, names or fields, columns
        self.start_values: tuple[Array, Array] | None = None  # temperatures and ice
        self.results = {name: np.zeros((hours, 0, 1)) for name in fields}
        self.next_hour = 0

    @property
    def needs_every_step(self) -> bool:
        """Whether each step's temperatures of all nodes, or its ice, are wanted."""
        return any(name in self.names for name in OF_EVERY_STEP)

    def start(self, state: State) -> None:
        """Keep the state before the first hour."""
        self.start_values = state.temperature_c[:, : self.columns], state.ice_j[:, : self.columns].copy()

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
        reference_c = state.reference.temperature_c[:, : self.columns]
        kept = {"heater_w": day.watts, "ratio": day.ratio, "condensing_w": day.condensing_w}
        devices = {"removed_kg_s": day.removed_kg_s, "drying_w": day.drying_w, "fan_w": day.fan_w}
        kept |= {name: values for name, values in devices.items() if len(values)}
        if "mean_c" in self.names:
            kept["mean_c"] = reference_c + day.mean_k[..., : self.columns]
        if "water_c" in self.names:
            kept["water_c"] = reference_c[water_nodes] + day.water_k[..., : self.columns]
        if day.exchanges and "ice_j" in self.names:
            kept["ice_j"] = np.stack(day.ice_j)
        if day.exchanges and any(name in self.names for name in EXCHANGED):
            kept |= self._exchange(day)
        for name in self.names:
            if name in kept:
                self._keep(name, kept[name])
        self.next_hour += len(day.watts) // self.substeps

    def _exchange(self, day: Day) -> dict[str, Array]:
        """What each vessel gave off, from the coefficients that held."""
        exchanges = [exchange for exchange in day.exchanges for _ in range(len(day.watts) // len(day.exchanges))]
        coefficients = [exchange.coefficients for exchange in exchanges]

        def stack(values: Iterable[Array]) -> Array:
            return np.stack([value[..., : self.columns] for value in values])

        ratio = day.ratio[:, None, : self.columns]
        evaporation = stack(c.mass_kg_s for c in coefficients) * (stack(c.water_ratio for c in coefficients) - ratio)
        zero = np.zeros(1)
        return {
            "evaporation_kg_s": evaporation,
            "latent_w": evaporation * stack(exchange.enthalpy_j_per_kg for exchange in exchanges),
            "convection_w_per_k": stack(c.convection_w_per_k for c in coefficients),
            "longwave_w_per_k": stack(c.longwave_w_per_k for c in coefficients),
            "wall_w_per_k": stack(c.wall_w_per_k for c in coefficients),
            "leak_w_per_k": stack(zero if e.leak_w_per_k is None else e.leak_w_per_k for e in exchanges),
        }

    def _keep(self, name: str, steps: Array) -> None:
        """Keep one quantity of the day, its steps averaged to hours."""
        steps = steps[..., : self.columns]
        if not self.next_hour:
            kind = float if name in DOUBLE else steps.dtype
            self.results[name] = np.zeros((self.hours, *steps.shape[1:]), kind)
        by_hour = steps.reshape(len(steps) // self.substeps, self.substeps, *steps.shape[1:])
        day = slice(self.next_hour, self.next_hour + len(by_hour))
        at_end = name in AT_HOUR_END or self.substeps == 1
        self.results[name][day] = by_hour[:, -1] if at_end else by_hour.mean(axis=1)

    def hourly_output(self) -> HourlyOutput | None:
        """The output; a quantity that was not asked for, or that the network does not have, has no rows."""
        if self.start_values is None:
            return None
        return HourlyOutput(**self.results, start_c=self.start_values[0], start_ice_j=self.start_values[1])
