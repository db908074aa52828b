"""What is assumed of the weather where a file has no such column, and how it is said."""

from __future__ import annotations

from thermal.core.display_units import M_S_PER_MPH

ASSUMED = {"rh_pct": 75.0, "wind_m_s": 3.0}  # where a file has none; our judgement, and the report says so
ASSUMED_HUMIDITY = ASSUMED["rh_pct"] / 100.0


def assumed_humidity_text() -> str:
    """The relative humidity, such as "75 %"."""
    return f"{ASSUMED['rh_pct']:.0f} %"


def assumed_wind_text(units: str) -> str:
    """The wind in the units of an answer, such as "3 m/s"."""
    speed = ASSUMED["wind_m_s"]
    return f"{speed:.0f} m/s" if units == "metric" else f"{speed / M_S_PER_MPH:.0f} mph"
