"""Devices of a plan that dry the air, in SI units, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from thermal.physics.constants import RHO_WATER

if TYPE_CHECKING:
    from thermal.plan.damp_tables import DehumidifierTable, FanTable


@dataclass(frozen=True)
class Dehumidifier:
    """A dehumidifier in the air round the system.

    Attributes
    ----------
    capacity_kg_s : float
        Water that it takes at its rating point [kg/s].
    power_w : float
        Its power while it runs [W].
    humidity : float
        Relative humidity above which it runs [-].
    kind : str
        compressor or desiccant.
    """

    capacity_kg_s: float
    power_w: float
    humidity: float
    kind: str


@dataclass(frozen=True)
class HumidityFan:
    """A fan that brings in outdoor air while the room's air is damp.

    Attributes
    ----------
    flow_m3_s : float
        Its flow while it runs [m3/s].
    power_w : float
        Its power while it runs [W].
    humidity : float
        Relative humidity above which it runs [-].
    """

    flow_m3_s: float
    power_w: float
    humidity: float


def dehumidifier_of(entry: DehumidifierTable | None) -> Dehumidifier | None:
    """The dehumidifier of a plan; None without one."""
    if entry is None:
        return None
    return Dehumidifier(RHO_WATER * entry.capacity, entry.power, entry.humidity, entry.kind)


def fan_of(entry: FanTable | None) -> HumidityFan | None:
    """The fan by humidity of a plan; None without one."""
    return HumidityFan(entry.flow, entry.power, entry.humidity) if entry else None
