"""The first and last date on which heat is needed, in a typical winter and in the earliest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from thermal.analysis.case import INSTALLED, SimulationCase
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.climate.season_calendar import season_bounds
from thermal.core.arrays import Array
from thermal.solver.results import SimulationResult

NEEDED_SHARE = 0.01  # of the heater needed, as a mean over a day: less is rounding


@dataclass(frozen=True)
class HeatedDays:
    """First and last date on which the heaters run in one winter.

    Attributes
    ----------
    winter : str
        The winter's name.
    first : str
        The first date, ISO 8601.
    last : str or None
        The last date; None where the weather file ends before it.
    from_start, to_end : bool
        Whether heat is needed on the first day, and on the last day, of October to April: it may then be needed before,
        and after.
    """

    winter: str
    first: str
    last: str | None
    from_start: bool
    to_end: bool


@dataclass(frozen=True)
class HeatingDates:
    """When heat is needed, and the thermostat's setting.

    Attributes
    ----------
    typical : HeatedDays or None
        The typical winter, or the only complete one; None without a complete winter, or where it needs no heat.
    earliest : HeatedDays or None
        The winter in which heat is needed first, of those that the weather file covers from their beginning; None where
        none needs heat.
    thermostat_c : float
        Thermostat of the water, or of the room where the room is heated [degC].
    """

    typical: HeatedDays | None
    earliest: HeatedDays | None
    thermostat_c: float


def heating_dates(
    case: SimulationCase, run: SimulationResult, heater: HeaterChoice, season: WinterEnergy
) -> HeatingDates:
    """When the installed heaters run.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate, as recorded.
    run : SimulationResult
        Hourly simulation of the designs (unheated, installed, ...).
    heater : HeaterChoice
        The heater needed, and its thermostat.
    season : WinterEnergy
        The typical winter.
    """
    assert run.hourly_output is not None
    winters, least_w = case.weather.winters, NEEDED_SHARE * heater.needed_w
    heat_w = run.hourly_output.heater_w[:, INSTALLED * len(winters) : (INSTALLED + 1) * len(winters)]
    days = [_heated_days(case, winter, heat_w[:, winter], least_w) for winter in range(len(winters))]
    whole = [
        item
        for item, winter in zip(days, winters, strict=True)
        if item and winter.start == pd.Timestamp(season_bounds(winter.year, case.climate.south)[0])
    ]
    typical = days[season.median] if winters[season.median].complete else None
    earliest = min(whole, key=lambda item: _since(item.first, item.winter, case), default=None)
    return HeatingDates(typical, earliest, heater.setpoint_c)


def _heated_days(case: SimulationCase, winter: int, heat_w: Array, least_w: float) -> HeatedDays | None:
    """First and last date of one winter with heat; None where it needs none."""
    season = case.weather.winters[winter]
    daily = heat_w[: season.hours].reshape(-1, 24).mean(axis=1)
    heated = np.flatnonzero(daily > least_w)
    if not heated.size:
        return None
    first, last = (season.start + pd.Timedelta(days=int(day)) for day in (heated[0], heated[-1]))
    to_end = bool(heated[-1] == len(daily) - 1)
    known = season.complete or not to_end
    return HeatedDays(
        season.label, first.date().isoformat(), last.date().isoformat() if known else None, bool(heated[0] == 0), to_end
    )


def _since(date: str, label: str, case: SimulationCase) -> int:
    """Days from the beginning of a winter to a date."""
    start = next(winter.start for winter in case.weather.winters if winter.label == label)
    return int((pd.Timestamp(date) - start).days)
