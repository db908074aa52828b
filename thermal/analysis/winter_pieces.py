"""Heated designs through whole winters, each winter cut into pieces that are simulated at the same time.

A simulation of few columns costs the same for each hour however many they are. So each winter is cut into eight pieces.
Each is simulated after the 15 days before it, and the results are put together again. Where the pieces do not join, as
with ice and with much water behind much foam, the winter is simulated whole. Against whole winters the heating is
within 0.05 % and the air within 0.03 K in garage, workshop and shed, as written and with each remedy.
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
from thermal.physics.freezing import AT_FREEZING_C
from thermal.solver.results import HourlyOutput, OutputRequest
from thermal.solver.simulate import simulate, simulate_parallel

PIECES = 8  # of the longest winter; with more, the weeks before each cost more than the shorter pieces save
# Heat that is stored where pieces meet, and that they do not agree on, as a share of the winter's heating. The error of
# the heating is 0.03 to 0.7 of it, 1.3 in 85 m3 (17 plans). It is 0.0003 to 0.0025 in ready plans.
JOIN_SHARE = 0.005
JOIN_LEAST_J = 7.2e6  # or less than 2 kWh, whatever the heating
MOST_IN_PIECES = 1000  # columns of whole winters; more are quicker, and take less memory, in one go
KEPT = "mean_c", "water_c", "heater_w"
HOURS = OutputRequest(hourly=KEPT)
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
        of a winter that is shorter than others its last hour outdoors goes on. Of whole winters where any pieces do
        not join.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    piece_h = max(map(_piece_h, weathers))
    cuts = [_cut(weather, piece_h) for weather in weathers]
    whole = [replace(cut.forcing, end_h=cut.forcing.end_h * 0 + APPROACH_H + piece_h) for cut in cuts]
    forcing = join_forcings([replace(part, marks=np.zeros((0, len(part.end_h)), dtype=int)) for part in whole])
    hours = _hours_of(network, forcing, control, floor_c)
    ends = np.cumsum([len(cut.forcing.end_h) for cut in cuts])
    place = np.arange(network.designs * ends[-1]).reshape(network.designs, ends[-1])
    places = [
        part.reshape(network.designs, -1, cut.winters)
        for part, cut in zip(np.split(place, ends[:-1], axis=1), cuts, strict=True)
    ]
    if not all(_hours_join(network, hours, *part) for part in zip(places, cuts, weathers, strict=True)):
        return [_hours_of(network, weather.forcing, control, floor_c) for weather in weathers]
    return [_hours_together(hours, *part) for part in zip(places, cuts, strict=True)]


def _hours_of(network: Network, forcing: Forcing, control: Control, floor_c: Array | float) -> HourlyOutput:
    """Every hour of designs, each winter of a forcing in one go."""
    run = simulate(network, forcing, control, floor_c, hourly_output=True, request=HOURS)
    assert run.hourly_output is not None
    return run.hourly_output


def _hours_join(network: Network, hourly: HourlyOutput, place: Array, cut: _Cut, weather: Weather) -> bool:
    """Whether the pieces of all designs join; `place` is the column of each, (design, piece, winter)."""
    end_c = hourly.mean_c[-1].copy()  # of light nodes the mean of a step is its end
    if network.vessels is not None:
        end_c[list(network.vessels.water_nodes)] = hourly.water_c[-1]
    by_join = np.moveaxis(place, 1, -1).reshape(-1, cut.pieces)  # (design and winter, piece)
    within = np.tile(cut.joins_within(weather, np.arange(cut.winters)), (network.designs, 1))
    joins = _Joins(hourly.start_c[:, by_join[:, 1:]], end_c[:, by_join[:, :-1]], within)
    heater_j = 3600.0 * hourly.heater_w.sum(axis=0)[by_join].sum(axis=-1)
    return bool(joins.hold(network.take(np.repeat(np.arange(network.designs), cut.winters)), heater_j).all())


def summaries_in_pieces(
    network: Network, weather: Weather, control: Control, floor_c: Array, request: OutputRequest, winter: Array
) -> dict[str, Array]:
    """Results of heated designs, each in one winter, by their names in `SimulationResult`; the last axis is the design.

    A design's winter is simulated whole where its pieces do not join: where a piece begins with other temperatures than
    the piece before it has then, or with ice. No design depends on those beside it.

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
    assert not request.first_below, "its hours are counted from the first row"
    results, joined = _summaries_of_pieces(network, weather, control, floor_c, request, winter)
    apart = np.flatnonzero(~joined)
    if apart.size:
        own = network.take(apart), weather, control.take(apart), floor_c[apart], request, winter[apart]
        for name, values in summaries_of_winters(*own).items():
            results[name][..., apart] = values
    return results


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


def _summaries_of_pieces(
    network: Network, weather: Weather, control: Control, floor_c: Array, request: OutputRequest, winter: Array
) -> tuple[dict[str, Array], Array]:
    """The results of the pieces put together, and whether the pieces of each design join, (design,)."""
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
    shape = network.designs, cut.pieces
    by_piece = {name: getattr(run, name)[..., 0] for name in OF_PIECES}
    by_piece = {name: values.reshape(*values.shape[:-1], *shape) for name, values in by_piece.items()}
    *asked, begun_c, before_c = by_piece["snapshot_c"]
    by_piece["snapshot_c"] = by_piece["snapshot_c"][: len(asked)]
    results = {name: OF_PIECES[name].reduce(values, axis=-1) for name, values in by_piece.items()}
    joins = _Joins(begun_c[..., 1:], before_c[..., :-1], cut.joins_within(weather, winter))
    return results, joins.hold(network, results["heater_j"])


@dataclass(frozen=True)
class _Joins:
    """Temperatures where pieces meet, shape (node, design, join): of the later piece and, then too, of the earlier one.

    `within`, shape (design, join), is false beyond the end of a winter.
    """

    begun_c: Array
    before_c: Array
    within: Array

    def hold(self, network: Network, heater_j: Array) -> Array:
        """Whether the pieces of each design join, from the heat that a heater gave in its winter [J], (design,)."""
        nodes = list(network.vessels.water_nodes) if network.vessels else []
        ice = (np.minimum(self.begun_c, self.before_c)[nodes] <= AT_FREEZING_C).any(axis=0)
        stored_j = np.einsum("nd,ndj->dj", network.capacity_j_per_k, self.begun_c - self.before_c)
        missing_j = (np.abs(stored_j) * self.within).sum(axis=-1)
        return np.asarray(
            (missing_j <= np.maximum(JOIN_SHARE * heater_j, JOIN_LEAST_J)) & ~(ice & self.within).any(axis=-1)
        )


@dataclass(frozen=True)
class _Cut:
    """The pieces of the winters of one weather, each after the weeks before it, which are its spin-up."""

    forcing: Forcing  # piece by piece, winter within piece
    first: Array  # row of the weather with which each begins
    piece_h: int
    hours: int  # of the longest winter

    @property
    def winters(self) -> int:
        """Number of winters."""
        return len(self.first) // self.pieces

    @property
    def pieces(self) -> int:
        """Pieces of each winter."""
        return -(-self.hours // self.piece_h)

    def joins_within(self, weather: Weather, winter: Array) -> Array:
        """Whether each join lies within the winter of each design, (design, join)."""
        hours = np.array([weather.winters[number].hours for number in winter])
        return np.asarray(np.arange(1, self.pieces) * self.piece_h < hours[:, None])

    def request_of(self, request: OutputRequest, weather: Weather) -> OutputRequest:
        """A request by rows of the pieces, from one by rows of the weather."""
        first, snapshot_h = self.first.reshape(self.pieces, -1), request.snapshot_h
        weights, device_weights = (
            None if by_row is None else self._by_piece(by_row, first)
            for by_row in (request.weights, request.device_weights)
        )
        join_h = np.tile([[APPROACH_H - 24], [APPROACH_H + self.piece_h - 24]], self.first.size)
        if snapshot_h is not None:
            row = snapshot_h[:, None] - first[0] - APPROACH_H
            own = np.clip(row // self.piece_h, 0, self.pieces - 1) == np.arange(self.pieces)[:, None]
            snapshot_h = np.where(own & (snapshot_h[:, None] >= 0), snapshot_h[:, None] - first, -1)
            join_h = np.vstack([snapshot_h.reshape(len(snapshot_h), -1), join_h])
        return replace(request, weights=weights, device_weights=device_weights, snapshot_h=join_h)

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


def _hours_together(hourly: HourlyOutput, columns: Array, cut: _Cut) -> HourlyOutput:
    """The hours of whole winters from those of their pieces, whose columns are of shape (design, piece, winter)."""
    pieces = [columns[:, piece].ravel() for piece in range(cut.pieces)]
    kept = {name: np.concatenate([getattr(hourly, name)[..., index] for index in pieces])[: cut.hours] for name in KEPT}
    first = pieces[0]
    return replace(hourly, **kept, start_c=hourly.start_c[:, first], start_ice_j=hourly.start_ice_j[:, first])
