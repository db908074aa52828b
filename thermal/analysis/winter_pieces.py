"""Heated designs through whole winters, the pieces of a winter side by side instead of one after the other.

A simulation of few columns costs the same for each hour however many they are, and heated water and the ground under it
forget their start within weeks. So each winter is cut into pieces, each simulated after the weeks before it, and the
results are put together again. Against winters in one go the heating is within 0.04 % and the air within 0.02 K in
garage, workshop and shed, as written and with each remedy; unheated water, which remembers for longer, is not for this.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from thermal.climate.cold_spells import APPROACH_H
from thermal.climate.forcing import Forcing, join_forcings
from thermal.climate.heating_seasons import Weather, excerpt_with_time_before
from thermal.core.arrays import Array
from thermal.core.parallel import SerialExecutor
from thermal.network.model import Control, Network
from thermal.solver.results import HourlyOutput, OutputRequest
from thermal.solver.simulate import simulate, simulate_parallel

PIECES = 8  # of the longest winter; with more, the weeks before each cost more than the shorter pieces save
NEAR_ICE_C = 2.0  # of a tank; beds may be colder
KEPT = "mean_c", "water_c", "heater_w"
OF_PIECES: dict[str, Any] = {  # a result of a winter from those of its pieces; of snapshots one piece has each
    "coldest_c": np.minimum, "warmest_c": np.maximum, "peak_w": np.maximum, "closure": np.maximum,
    "first_below_h": np.minimum, "snapshot_c": np.fmax, "hours_below": np.add, "heater_j": np.add, "marked_j": np.add,
    "weighted_j": np.add, "damp_h": np.add, "dryer_j": np.add, "fan_j": np.add, "removed_kg": np.add,
    "most_removed_kg": np.maximum, "device_marked_j": np.add, "device_weighted_j": np.add,
}  # fmt: skip


def simulate_in_pieces(
    network: Network, weathers: Sequence[Weather], control: Control, floor_c: Array | float
) -> list[HourlyOutput]:
    """Every hour of heated designs in the winters of some weathers.

    Parameters
    ----------
    network : Network
        The designs.
    weathers : sequence of Weather
        Winters with the same spin-up.
    control : Control
        The heater of each design, the same every day.
    floor_c : Array or float, shape (design,)
        Minimum water temperature [degC].

    Returns
    -------
    list of HourlyOutput
        For each weather, its columns design by design, winter within design; only the fields of `KEPT`. After the end
        of a winter that is shorter than others its last hour outdoors goes on.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    piece_h = max(map(_piece_h, weathers))
    cuts = [_cut(weather, piece_h) for weather in weathers]
    whole = [replace(cut.forcing, end_h=cut.forcing.end_h * 0 + APPROACH_H + piece_h) for cut in cuts]
    forcing = join_forcings([replace(part, marks=np.zeros((0, len(part.end_h)), dtype=int)) for part in whole])
    run = simulate(network, forcing, control, floor_c, hourly_output=True, request=OutputRequest(hourly=KEPT))
    assert run.hourly_output is not None
    ends = np.cumsum([len(cut.forcing.end_h) for cut in cuts])
    place = np.arange(network.designs * ends[-1]).reshape(network.designs, ends[-1])
    return [
        _put_together(run.hourly_output, own.reshape(network.designs, cut.pieces, -1), cut)
        for cut, own in zip(cuts, np.split(place, ends[:-1], axis=1), strict=True)
    ]


def summaries_in_pieces(
    network: Network, weather: Weather, control: Control, floor_c: Array, request: OutputRequest, winter: Array
) -> dict[str, Array]:
    """Results of heated designs, each in one winter, by their names in `SimulationResult`; the last axis is the design.

    A winter is in pieces where heat reaches all water, and neither the tank nor its minimum is near 0 degC. Ice
    remembers for months, so other winters are simulated in one go. No design depends on those beside it.

    Parameters
    ----------
    network, control : Network, Control
        The designs, their heaters the same every day.
    weather : Weather
        The winters.
    floor_c : Array, shape (design,)
        Minimum water temperature [degC].
    request : OutputRequest
        What else to keep, by the rows of the weather.
    winter : Array of int, shape (design,)
        Index of the winter of each design.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    given = network, weather, control, floor_c, request, winter
    cut, apart = np.flatnonzero(_heat_reaches_all_water(network) & (floor_c > NEAR_ICE_C)), np.arange(network.designs)
    pieces = _summaries_of_pieces(*_part(given, cut)) if cut.size else None
    if pieces is None:
        return summaries_of_winters(*given)
    warm = pieces["coldest_c"] > NEAR_ICE_C
    apart = np.setdiff1d(apart, cut[warm])
    if not apart.size:
        return pieces
    whole = summaries_of_winters(*_part(given, apart))
    results = {name: np.empty((*values.shape[:-1], network.designs), values.dtype) for name, values in whole.items()}
    for name, values in results.items():
        values[..., apart], values[..., cut[warm]] = whole[name], pieces[name][..., warm]
    return results


Given = tuple[Network, Weather, Control, Array, OutputRequest, Array]


def _part(given: Given, index: Array) -> Given:
    """Some designs of the arguments of `summaries_in_pieces`."""
    network, weather, control, floor_c, request, winter = given
    return network.take(index), weather, control.take(index), floor_c[index], request, winter[index]


def summaries_of_winters(
    network: Network, weather: Weather, control: Control, floor_c: Array, request: OutputRequest, winter: Array
) -> dict[str, Array]:
    """Results of designs, each in one whole winter, by their names in `SimulationResult`; the last axis is the design.

    Parameters
    ----------
    network, weather, control, floor_c, request, winter
        As of `summaries_in_pieces`; the designs need no heater.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    forcing, alone = weather.forcing, SerialExecutor()
    run = simulate_parallel(network, forcing, control, floor_c, request=request, winter=winter, executor=alone)
    return {name: getattr(run, name)[..., 0] for name in OF_PIECES}


def _heat_reaches_all_water(network: Network) -> Array:
    """Whether no water stands apart from the heated tank, as in barrels and beds without flow, (design,)."""
    vessels = network.vessels
    if vessels is None or vessels.passive:
        return np.zeros(network.designs, dtype=bool)
    if len(vessels.water_nodes) == 1:
        return np.ones(network.designs, dtype=bool)
    return np.asarray(vessels.flow_w_per_k.max(axis=0) > 0.0)


def _summaries_of_pieces(
    network: Network, weather: Weather, control: Control, floor_c: Array, request: OutputRequest, winter: Array
) -> dict[str, Array]:
    """Those of the pieces, put together."""
    cut = _cut(weather, _piece_h(weather))
    design = np.repeat(np.arange(network.designs), cut.pieces)
    piece = (np.arange(cut.pieces) * len(weather.winters) + winter[:, None]).ravel()
    run = simulate(
        network.take(design),
        cut.forcing,
        control.take(design),
        floor_c[design],
        request=cut.request_of(request, weather),
        winter=piece,
    )
    by_piece = {name: getattr(run, name)[..., 0] for name in OF_PIECES}
    return {
        name: OF_PIECES[name].reduce(values.reshape(*values.shape[:-1], network.designs, cut.pieces), axis=-1)
        for name, values in by_piece.items()
    }


@dataclass(frozen=True)
class _Cut:
    """The pieces of the winters of one weather, each after the weeks before it, which are its spin-up."""

    forcing: Forcing  # piece by piece, winter within piece
    first: Array  # row of the weather with which each begins
    piece_h: int
    hours: int  # of the longest winter

    @property
    def pieces(self) -> int:
        """Pieces of each winter."""
        return -(-self.hours // self.piece_h)

    def request_of(self, request: OutputRequest, weather: Weather) -> OutputRequest:
        """A request by rows of the pieces, from one by rows of the weather."""
        first, snapshot_h = self.first.reshape(self.pieces, -1), request.snapshot_h
        weights, device_weights = (
            None if by_row is None else self._by_piece(by_row, first)
            for by_row in (request.weights, request.device_weights)
        )
        if snapshot_h is not None:
            row = snapshot_h[:, None] - first[0] - APPROACH_H
            own = np.clip(row // self.piece_h, 0, self.pieces - 1) == np.arange(self.pieces)[:, None]
            snapshot_h = np.where(own & (snapshot_h[:, None] >= 0), snapshot_h[:, None] - first, -1)
            snapshot_h = snapshot_h.reshape(len(snapshot_h), -1)
        return replace(request, weights=weights, device_weights=device_weights, snapshot_h=snapshot_h)

    def _by_piece(self, weights: Array, first: Array) -> Array:
        """Weights by rows of the pieces, from those by rows of the weather and each piece's first row in it."""
        rows = np.clip(first[:, :1] + np.arange(len(self.forcing.outdoor_c)), 0, weights.shape[1] - 1)
        return np.moveaxis(weights[:, rows], 1, 2).reshape(len(weights), rows.shape[1], -1)


def _piece_h(weather: Weather) -> int:
    """Whole days of a piece of the longest winter, as hours."""
    return -(-max(winter.hours for winter in weather.winters) // (24 * PIECES)) * 24


def _cut(weather: Weather, piece_h: int) -> _Cut:
    """The winters of one weather in pieces of some whole days."""
    winters, hours = np.arange(len(weather.winters)), np.array([winter.hours for winter in weather.winters])
    pieces = -(-int(hours.max()) // piece_h)
    first = np.repeat(weather.spin_up_h - APPROACH_H + np.arange(pieces) * piece_h, len(winters))
    forcing = excerpt_with_time_before(weather, np.tile(winters, pieces), first, APPROACH_H + piece_h)
    end_h = np.clip(np.tile(weather.spin_up_h + hours, pieces) - first, APPROACH_H, APPROACH_H + piece_h)
    marks = np.tile(weather.forcing.marks, pieces)
    marks = np.where((marks >= 0) & (marks - first > APPROACH_H), np.minimum(marks - first, end_h), -1)
    return _Cut(replace(forcing, spin_up_h=APPROACH_H, end_h=end_h, marks=marks), first, piece_h, int(hours.max()))


def _put_together(hourly: HourlyOutput, columns: Array, cut: _Cut) -> HourlyOutput:
    """The hours of whole winters from those of their pieces, whose columns are of shape (design, piece, winter)."""
    pieces = [columns[:, piece].ravel() for piece in range(cut.pieces)]
    kept = {name: np.concatenate([getattr(hourly, name)[..., index] for index in pieces])[: cut.hours] for name in KEPT}
    first = pieces[0]
    return replace(hourly, **kept, start_c=hourly.start_c[:, first], start_ice_j=hourly.start_ice_j[:, first])
