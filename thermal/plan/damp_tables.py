"""The plan tables of devices that dry the air: a dehumidifier, and a fan by humidity."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator

from thermal.core import quantities
from thermal.data.dehumidifiers import dehumidifier_kinds
from thermal.plan import field_types
from thermal.plan.table import Table

MOST_L_PER_DAY = 500.0
M3_S_PER_L_DAY = 1e-3 / 86400.0
LEAST_HUMIDITY, MOST_HUMIDITY = 0.3, 0.95


def read_drying(value: object) -> float:
    """Water a day that a dehumidifier takes at its rating point. [m3/s]

    Raises
    ------
    ValueError
        When it is no amount of water a day, or out of range.
    """
    rate = quantities.parse(value, quantities.DRYING)  # type: ignore[arg-type]
    if not 0.0 < rate <= MOST_L_PER_DAY * M3_S_PER_L_DAY * (1.0 + 1e-9):
        raise ValueError(f"{value!r} is out of range; write above 0 L/day, at most {MOST_L_PER_DAY:g} L/day")
    return rate


DevicePower = Annotated[float, field_types.quantity(quantities.POWER, 0.0, 1e4, above=True)]
Humidity = Annotated[float, field_types.quantity(quantities.SHARE, LEAST_HUMIDITY, MOST_HUMIDITY)]


def read_humidity(value: object) -> object:
    """A relative humidity that may also be written as a plain number, 0.6."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return str(value) if is_number else value


class DehumidifierTable(Table):
    """[dehumidifier]: a dehumidifier in the air round the system."""

    capacity: Annotated[float, BeforeValidator(read_drying)]
    power: DevicePower
    humidity: Annotated[Humidity, BeforeValidator(read_humidity)] = 0.6
    kind: Annotated[str, field_types.word(dehumidifier_kinds, "a kind of dehumidifier")] = "compressor"


class FanTable(Table):
    """[fan]: a fan that brings in outdoor air by humidity."""

    flow: field_types.AirFlow
    power: DevicePower
    humidity: Annotated[Humidity, BeforeValidator(read_humidity)] = 0.75
