"""Devices that dry the air of a network: a dehumidifier, and a fan that brings in outdoor air by humidity.

Each is rows of one array, one column for each design, so that a network carries them as it carries its other figures.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from thermal.core.arrays import Array
from thermal.data.dehumidifiers import dehumidifier_kinds

if TYPE_CHECKING:
    from thermal.network.model import Network
    from thermal.plan.damp_devices import Dehumidifier, HumidityFan


class DryerRows(NamedTuple):
    """The rows of `RoomAir.dryer`, each of shape (design,)."""

    capacity_kg_s: Array  # rated
    power_w: Array  # while it runs
    humidity: Array  # that it holds [-]
    constant: Array  # of `dehumidifier.removal_share`, and so on
    per_k: Array
    per_k2: Array
    stops_c: Array
    full_c: Array


class FanRows(NamedTuple):
    """The rows of `RoomAir.fan`, each of shape (design,)."""

    flow_m3_s: Array
    power_w: Array  # while it runs
    humidity: Array  # that it holds [-]


def with_drying(network: Network, dehumidifier: Dehumidifier | None, fan: HumidityFan | None) -> Network:
    """A network of one design with the devices that dry its air.

    Parameters
    ----------
    network : Network
        The network without them, as a batch of one design.
    dehumidifier : Dehumidifier or None
        In the air round the vessels.
    fan : HumidityFan or None
        Of the room.
    """
    room = network.room_air
    if room is None or (dehumidifier is None and fan is None):
        return network
    dryer_rows = fan_rows = None
    if dehumidifier is not None:
        kind, device = dehumidifier_kinds()[dehumidifier.kind], dehumidifier
        curve = kind.at_humidity(device.humidity)
        rows = device.capacity_kg_s, device.power_w, device.humidity, *curve, kind.stops_c, kind.full_c
        dryer_rows = np.array(rows)[:, None]
    if fan is not None:
        fan_rows = np.array([[fan.flow_m3_s], [fan.power_w], [fan.humidity]])
    return replace(network, room_air=replace(room, dryer=dryer_rows, fan=fan_rows))
