"""A case with less in it: some of its winters, or without the hours that they were cut from."""

from __future__ import annotations

from dataclasses import replace

from thermal.analysis.case import SimulationCase
from thermal.climate.cold_spells import take_winters
from thermal.core.arrays import Array


def in_winters(case: SimulationCase, index: Array) -> SimulationCase:
    """The same plan in some of the winters, given by their indices."""
    return replace(case, weather=take_winters(case.weather, index))


def without_hours(case: SimulationCase) -> SimulationCase:
    """The same without the hours of the weather file that its winters were cut from: less to hand to a process."""
    return replace(case, climate=replace(case.climate, hours=case.climate.hours.iloc[:0], sun=None))
