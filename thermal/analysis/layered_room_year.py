"""A year of bare rooms of layered walls: heat put in and taken out, and the air's temperature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thermal.climate.forcing import Forcing
from thermal.core.arrays import Array
from thermal.network.layered_room import LayeredRoom, layered_control, layered_network
from thermal.solver.simulate import simulate

J_PER_MWH, W_PER_KW = 3.6e9, 1000.0


@dataclass(frozen=True)
class RoomYear:
    """Hourly means of one room through the counted hours of its weather.

    Attributes
    ----------
    air_c : Array, shape (hour,)
        Temperature of the air [degC].
    heater_w : Array, shape (hour,)
        Heat put into the air, below zero where it is taken out [W].
    """

    air_c: Array
    heater_w: Array

    @property
    def heating_mwh(self) -> float:
        """Heat put in [MWh]."""
        return float(self.heater_w.clip(min=0.0).sum()) * 3600.0 / J_PER_MWH

    @property
    def cooling_mwh(self) -> float:
        """Heat taken out [MWh]."""
        return float((-self.heater_w).clip(min=0.0).sum()) * 3600.0 / J_PER_MWH

    @property
    def peak_heating_kw(self) -> float:
        """Most heat put in within an hour [kW]."""
        return max(float(self.heater_w.max()), 0.0) / W_PER_KW

    @property
    def peak_cooling_kw(self) -> float:
        """Most heat taken out within an hour [kW]."""
        return max(float(-self.heater_w.min()), 0.0) / W_PER_KW


def simulate_layered_rooms(rooms: Sequence[LayeredRoom], weather: Forcing, substeps: int = 1) -> list[RoomYear]:
    """Simulate rooms through a year, those of one topology together.

    Parameters
    ----------
    rooms : sequence of LayeredRoom
        Any rooms.
    weather : Forcing
        From `typical_year`.
    substeps : int
        Steps an hour.

    Returns
    -------
    list of RoomYear
        In the order of the rooms.
    """
    years: dict[int, RoomYear] = {}
    for topology in dict.fromkeys(room.topology for room in rooms):
        chosen = [place for place, room in enumerate(rooms) if room.topology == topology]
        batch = [rooms[place] for place in chosen]
        run = simulate(
            layered_network(batch), weather, layered_control(batch), 0.0, substeps=substeps, hourly_output=True
        )
        assert run.hourly_output is not None
        for column, place in enumerate(chosen):
            air_c, heater_w = run.hourly_output.mean_c[:, -1, column], run.hourly_output.heater_w[:, column]
            years[place] = RoomYear(np.asarray(air_c), np.asarray(heater_w))
    return [years[place] for place in range(len(rooms))]
