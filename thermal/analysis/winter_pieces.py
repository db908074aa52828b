"""Heated designs through whole winters, the pieces of a winter side by side instead of one after the other.

A simulation of few columns costs the same for each hour however many they are, and heated water and the ground under it
forget their start within weeks. So each winter is cut into pieces, each simulated after the weeks before it, and the
hours are put together again. Against winters in one go the heating is within 0.04 % and the air within 0.02 K in
garage, workshop and shed, as written and with each remedy; unheated water, which remembers for longer, is not for this.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from thermal.climate.cold_spells import APPROACH_H
from thermal.climate.forcing import Forcing, join_forcings
from thermal.climate.heating_seasons import Weather, excerpt_with_time_before
from thermal.core.arrays import Array
from thermal.network.model import Control, Network
from thermal.solver.results import HourlyOutput, OutputRequest
from thermal.solver.simulate import simulate

PIECES = 6  # of the longest winter; with more, the weeks before each cost more than the shorter pieces save
KEPT = "mean_c", "water_c", "heater_w"


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
    longest = max(_rows(weather) for weather in weathers)
    piece_h = max(-(-(longest - APPROACH_H) // (24 * PIECES)), 1) * 24
    cuts = [_cut(weather, piece_h) for weather in weathers]
    forcing = replace(join_forcings([cut.forcing for cut in cuts]), spin_up_h=weathers[0].spin_up_h)
    run = simulate(network, forcing, control, floor_c, hourly_output=True, request=OutputRequest(hourly=KEPT))
    assert run.hourly_output is not None
    ends = np.cumsum([len(cut.forcing.end_h) for cut in cuts])
    columns = np.arange(network.designs * ends[-1]).reshape(network.designs, ends[-1])
    return [
        _together(run.hourly_output, own.reshape(network.designs, cut.pieces, -1), cut)
        for cut, own in zip(cuts, np.split(columns, ends[:-1], axis=1), strict=True)
    ]


@dataclass(frozen=True)
class _Cut:
    """The pieces of the winters of one weather, each with the weeks before it; the first begins with the spin-up."""

    forcing: Forcing  # piece by piece, winter within piece
    pieces: int
    piece_h: int
    hours: int  # of the longest winter


def _rows(weather: Weather) -> int:
    """Rows of the longest winter, its spin-up included."""
    return weather.spin_up_h + max(winter.hours for winter in weather.winters)


def _cut(weather: Weather, piece_h: int) -> _Cut:
    """The winters of one weather in pieces of some whole days."""
    pieces, winters = max(-(-(_rows(weather) - APPROACH_H) // piece_h), 1), np.arange(len(weather.winters))
    first = np.repeat(np.arange(pieces) * piece_h, len(winters))
    forcing = excerpt_with_time_before(weather, np.tile(winters, pieces), first, APPROACH_H + piece_h)
    return _Cut(forcing, pieces, piece_h, _rows(weather) - weather.spin_up_h)


def _together(hourly: HourlyOutput, columns: Array, cut: _Cut) -> HourlyOutput:
    """The hours of whole winters from those of their pieces, whose columns are of shape (design, piece, winter)."""
    first, *later = (columns[:, piece].ravel() for piece in range(cut.pieces))

    def whole(values: Array) -> Array:
        parts = [values[..., first], *(values[-cut.piece_h :, ..., index] for index in later)]
        return np.concatenate(parts)[: cut.hours]

    kept = {name: whole(getattr(hourly, name)) for name in KEPT}
    return replace(hourly, **kept, start_c=hourly.start_c[:, first], start_ice_j=hourly.start_ice_j[:, first])
