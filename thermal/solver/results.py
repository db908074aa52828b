"""What a simulation is asked for and what it gives."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from thermal.core.arrays import Array


@dataclass(frozen=True)
class OutputRequest:
    """What to keep beside the results every simulation has.

    Attributes
    ----------
    weights : Array, shape (weight, hour, winter), optional
        Factors on the heater's energy of each hour from the forcing's first row: prices.
    device_weights : Array, shape (weight, hour, winter), optional
        The same on the electricity of a dehumidifier and a fan; `weights` where not given.
    damp : bool
        Count hours of condensation and of mould at the coldest inner surface.
    snapshot_h : Array, shape (snapshot, winter), optional
        Rows of the forcing, on whole days, at whose beginning the temperatures are kept.
    first_below : bool
        Note how long each column's watched water took to fall to the minimum.
    hourly : tuple of str
        Fields of `HourlyOutput` to keep where hourly output is asked for; empty for all of them.
    hourly_columns : int, optional
        Number of columns, the first ones, that hourly output has; all by default.
    """

    weights: Array | None = None
    device_weights: Array | None = None
    damp: bool = False
    snapshot_h: Array | None = None
    first_below: bool = False
    hourly: tuple[str, ...] = ()
    hourly_columns: int | None = None


NOTHING = OutputRequest()


@dataclass(frozen=True)
class HourlyOutput:
    """Hourly values after the spin-up; arrays of shape (hour, ..., column).

    Columns run design by design, winter within design. `mean_c` are the temperatures at which heat flowed in
    the hour; `water_c`, `ratio` and `ice_j` the values at its end; flows are the hour's means. A field that was not
    asked for has no rows.
    """

    mean_c: Array  # (hour, node, column)
    water_c: Array  # (hour, water node, column)
    heater_w: Array
    ratio: Array  # humidity ratio of the room's air [kg/kg]
    latent_w: Array  # (hour, vessel, column): evaporation and its make-up water
    evaporation_kg_s: Array
    convection_w_per_k: Array
    longwave_w_per_k: Array
    wall_w_per_k: Array
    condensing_w: Array
    removed_kg_s: Array  # vapour that a dehumidifier took; no rows of it without one
    drying_w: Array  # its electric power
    fan_w: Array  # electric power of a fan by humidity
    leak_w_per_k: Array
    ice_j: Array  # (hour, water node, column)
    start_c: Array  # (node, column): before the first hour
    start_ice_j: Array  # (water node, column)


@dataclass(frozen=True)
class SimulationResult:
    """What a simulation gives; arrays of shape (design, winter) unless said otherwise.

    Attributes
    ----------
    coldest_c, warmest_c : Array
        Of the watched water: the tank's [degC].
    hours_below : Array
        Hours below the minimum water temperature.
    heater_j, peak_w : Array
        Heat put in, and the largest hourly power.
    dryer_j, fan_j : Array
        Electricity of a dehumidifier, and of a fan by humidity.
    removed_kg, most_removed_kg : Array
        Vapour that the dehumidifier took, and the most in one day.
    device_marked_j : Array, shape (mark, design, winter)
        Electricity of both by each mark.
    device_weighted_j : Array, shape (weight, mark, design, winter)
        The same, each hour times a weight of the `OutputRequest`.
    marked_j : Array, shape (mark, design, winter)
        Heat put in by each mark.
    weighted_j : Array, shape (weight, mark, design, winter)
        The same, each hour times a weight of the `OutputRequest`.
    damp_h : Array, shape (2, design, winter)
        Hours of condensation and of mould; zero unless requested.
    snapshot_c : Array, shape (snapshot, node, design, winter)
        Temperatures at the requested rows [degC].
    first_below_h : Array
        Hours from the forcing's first row until the watched water is at the minimum, linear between steps;
        infinite if never or not requested.
    closure : Array
        |in - out - stored| over the heat that passed through, spin-up included.
    hourly_output : HourlyOutput, optional
        Every hour, if asked for.
    """

    coldest_c: Array
    warmest_c: Array
    hours_below: Array
    heater_j: Array
    peak_w: Array
    dryer_j: Array
    fan_j: Array
    removed_kg: Array
    most_removed_kg: Array
    device_marked_j: Array
    device_weighted_j: Array
    marked_j: Array
    weighted_j: Array
    damp_h: Array
    snapshot_c: Array
    first_below_h: Array
    closure: Array
    hourly_output: HourlyOutput | None = None

    def take(self, index: Array) -> SimulationResult:
        """The designs picked by an index array, without their hourly output."""
        return SimulationResult(**{name: getattr(self, name)[..., index, :] for name in _SUMMARIES})

    def put_columns(self, index: Array, columns: SimulationResult) -> None:
        """Put results of some columns in the place of their own.

        Parameters
        ----------
        index : Array of int, shape (column,)
            Places of the columns, counted design by design, winter within design.
        columns : SimulationResult
            One design for each of them, of one winter; its hourly output has all of them.
        """
        winters = self.closure.shape[1]
        for name in _SUMMARIES:
            getattr(self, name)[..., index // winters, index % winters] = getattr(columns, name)[..., 0]
        if self.hourly_output is None or columns.hourly_output is None:
            return
        for name, values in vars(self.hourly_output).items():
            own, kept = getattr(columns.hourly_output, name), index < values.shape[-1]
            if own.shape[-1] == len(index):  # or else the quantity was not asked for, or is not there
                values[..., index[kept]] = own[..., kept]


_SUMMARIES = [field.name for field in fields(SimulationResult) if field.name != "hourly_output"]


def join_results(results: list[SimulationResult]) -> SimulationResult:
    """Results of several blocks of designs as one, without hourly output.

    The design axis is the last but one of every array.
    """
    joined: dict[str, Any] = {
        name: np.concatenate([getattr(result, name) for result in results], axis=-2) for name in _SUMMARIES
    }
    return replace(results[0], **joined)
