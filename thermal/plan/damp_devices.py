"""Devices of a plan that dry the air, in SI units, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from thermal.physics.constants import RHO_WATER

if TYPE_CHECKING:
    from thermal.plan.schema import PlanTable


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


def drying_devices(entry: PlanTable) -> dict[str, Any]:
    """The dehumidifier and the fan by humidity of a plan, by their names in it; None for one that it has not got."""
    dryer, fan = entry.dehumidifier, entry.fan
    return {
        "dehumidifier": dryer and Dehumidifier(RHO_WATER * dryer.capacity, dryer.power, dryer.humidity, dryer.kind),
        "fan": fan and HumidityFan(fan.flow, fan.power, fan.humidity),
    }
