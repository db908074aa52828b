"""What temperatures can be: units that the values contradict or tell, stuck sensors and spikes."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import pandas as pd

from thermal.climate.text_file import PLAUSIBLE_C
from thermal.data.column_words import ColumnUnit, column_units

WHOLE_YEAR_DAYS, HALF_YEAR_DAYS, SHORT_DAYS = 300, 150, 60
MONTH_HOURS = 20 * 24  # fewest hours of a month whose mean is looked at
NORTH_WINTER, SOUTH_WINTER = (12, 1, 2), (6, 7, 8)
KELVIN_MEDIAN = 200.0


@cache
def limits() -> dict[str, Any]:
    """The table of plausible values."""
    return tomllib.loads((files("thermal.data") / "plausible.toml").read_text("utf-8"))


def in_si(values: pd.Series, unit: ColumnUnit) -> pd.Series:
    """Values of a unit in SI units."""
    return (values - unit.zero) * unit.factor


def doubt_of_air(air_c: pd.Series, latitude: float | None = None, elevation_m: float = 0.0) -> str:
    """Why outdoor air temperatures cannot be what their unit says; empty where they can.

    Parameters
    ----------
    air_c : Series of float
        Temperatures with a rising index of times [degC].
    latitude : float, optional
        Degrees north; None where not known.
    elevation_m : float
        Height above sea level [m].
    """
    air = air_c.dropna()
    if len(air) < 24:
        return ""
    days = float(air.index.normalize().nunique())
    return _doubt_anywhere(air, days) or ("" if latitude is None else _doubt_at(air, days, latitude, elevation_m))


def _doubt_anywhere(air: pd.Series, days: float) -> str:
    """A doubt that holds at every place."""
    limit = limits()["anywhere"]
    mean, hottest = float(air.mean()), float(air.max())
    months = air.groupby([air.index.year, air.index.month]).agg(["mean", "min", "count"])
    odd = months[(months["mean"] > limit["warm_month_c"]) & (months["min"] < limit["frost_in_it_c"])]
    if len(odd):
        year, month = odd.index[0]
        return (
            f"{year}-{month:02d} would have a mean of {odd['mean'].iloc[0]:.0f} °C and an hour of"
            f" {odd['min'].iloc[0]:.0f} °C"
        )
    means = months["mean"][months["count"] >= MONTH_HOURS]
    if len(means) and means.max() > limit["hottest_month_c"]:
        return f"a month would have a mean of {means.max():.0f} °C"
    if days >= WHOLE_YEAR_DAYS:
        low, high = limit["mean_c"]
        if not low <= mean <= high:
            return f"the yearly mean would be {mean:.0f} °C"
        if hottest < limit["hottest_year_c"]:
            return f"the hottest hour of the year would be {hottest:.0f} °C"
        if _swing(air) > limit["swing_k"]:
            return f"the coldest and the warmest month would be {_swing(air):.0f} degrees apart"
    if days >= HALF_YEAR_DAYS and hottest < limit["hottest_half_c"]:
        return f"the hottest hour of {days:.0f} days would be {hottest:.0f} °C"
    if SHORT_DAYS <= days < WHOLE_YEAR_DAYS and mean > limit["mean_short_c"]:
        return f"the mean of these {days:.0f} days would be {mean:.0f} °C, too hot for a winter"
    return ""


def _doubt_at(air: pd.Series, days: float, latitude: float, elevation_m: float) -> str:
    """A doubt that holds at a latitude and an elevation."""
    zone, place = limits()["zone"], limits()["place"]
    usual = zone["t0"] + zone["t2"] * (3.0 * np.sin(np.radians(latitude)) ** 2 - 1.0) / 2.0
    usual -= place["lapse_k_per_m"] * elevation_m
    at = f"at latitude {latitude:g}"
    if days >= WHOLE_YEAR_DAYS:
        if abs(air.mean() - usual) > place["mean_off_k"]:
            return f"the yearly mean would be {air.mean():.0f} °C; {at} it is about {usual:.0f} °C"
        if _swing(air) > place["swing_k"] + place["swing_k_per_degree"] * abs(latitude):
            return f"the coldest and the warmest month would be {_swing(air):.0f} degrees apart {at}"
    winter = air[air.index.month.isin(NORTH_WINTER if latitude >= 0 else SOUTH_WINTER)]
    if len(winter) >= MONTH_HOURS and not (
        usual - place["winter_below_k"] <= winter.mean() <= usual + place["winter_above_k"]
    ):
        return f"the mean of the winter months would be {winter.mean():.0f} °C {at}"
    return ""


def _swing(air: pd.Series) -> float:
    """Warmest less coldest mean of a calendar month with enough hours. [K]"""
    months = air.groupby(air.index.month).agg(["mean", "count"])
    means = months["mean"][months["count"] >= MONTH_HOURS]
    return float(means.max() - means.min()) if len(means) else 0.0


def unit_of_air(values: pd.Series, latitude: float | None = None, elevation_m: float = 0.0) -> ColumnUnit | None:
    """Unit that outdoor air temperatures without one can only have; None where two are possible.

    Parameters
    ----------
    values : Series of float
        The numbers, with a rising index of times.
    latitude : float, optional
        Degrees north; None where not known.
    elevation_m : float
        Height above sea level [m].
    """
    units = column_units()
    if values.median() > KELVIN_MEDIAN:
        return units["K"]
    possible = []
    for name in ("degC", "degF"):
        air_c = in_si(values, units[name])
        usual = air_c.between(*PLAUSIBLE_C).mean() > 1.0 - limits()["marks"]["most_implausible"]
        if usual and not doubt_of_air(air_c, latitude, elevation_m):
            possible.append(name)
    if len(possible) == 2 and values.mean() < limits()["anywhere"]["no_unit_c"]:
        return units["degC"]
    return units[possible[0]] if len(possible) == 1 else None


def unit_of_log(columns: Mapping[str, pd.Series]) -> ColumnUnit | None:
    """Unit that all temperatures of a log without one can only have; None where two are possible.

    Parameters
    ----------
    columns : mapping of str to Series of float
        The numbers by role: "water_c", "room_c", "outdoor_c"; with a rising index of times.
    """
    units = column_units()
    if all(values.median() > KELVIN_MEDIAN for values in columns.values()):
        return units["K"]
    possible = [
        units[name]
        for name in ("degC", "degF")
        if not any(doubt_of_log(role, in_si(values, units[name])) for role, values in columns.items())
    ]
    return possible[0] if len(possible) == 1 else None


def doubt_of_log(role: str, values_c: pd.Series) -> str:
    """Why temperatures of a log cannot be what their unit says; empty where they can.

    Parameters
    ----------
    role : str
        "water_c", "room_c" or "outdoor_c".
    values_c : Series of float
        The temperatures, with a rising index of times [degC].
    """
    if role == "outdoor_c":
        return doubt_of_air(values_c)
    name = {"water_c": "water", "room_c": "room"}.get(role)
    if name is None or not values_c.notna().any():
        return ""
    low, high = limits()[name]["median_c"]
    median = float(values_c.median())
    return "" if low <= median <= high else f"the {name} would mostly be about {median:.0f} °C"


def oddities(values: pd.Series, what: str) -> list[str]:
    """Sentences on stuck runs and on spikes of single hours; nothing is changed.

    Parameters
    ----------
    values : Series of float
        Temperatures with a rising index of times [degC].
    what : str
        What they are, for the sentences.
    """
    marks, known = limits()["marks"], values.dropna()
    if len(known) < 3:
        return []
    sentences = []
    apart = known.index.to_series().diff() > pd.Timedelta(hours=3)
    same = known.groupby(((known != known.shift()) | apart).cumsum())
    times = known.index.to_series()
    runs = pd.DataFrame({"first": times.groupby(same.ngroup().to_numpy()).first(), "value": same.first().to_numpy()})
    last = times.groupby(same.ngroup().to_numpy()).last()
    hours = (last - runs["first"]) / pd.Timedelta("1h") + 1.0
    stuck = runs[hours > marks["stuck_h"]]
    if len(stuck):
        longest = hours.idxmax()
        sentences.append(
            f"{what}: the same value for more than {marks['stuck_h']} h, {len(stuck)} times; the longest"
            f" {hours[longest]:.0f} h of {runs['value'][longest]:g} °C from {runs['first'][longest]:%Y-%m-%d %H:%M}: a"
            " stuck sensor?"
        )
    hourly = known.resample("1h").mean()
    before, after = hourly - hourly.shift(1), hourly - hourly.shift(-1)
    spikes = hourly[(np.minimum(before.abs(), after.abs()) > marks["spike_k"]) & (before * after > 0)]
    if len(spikes):
        worst = spikes.index[int(np.argmax(np.abs(before[spikes.index])))]
        sentences.append(
            f"{what}: single hours more than {marks['spike_k']:.0f} degrees away from the hours before and after,"
            f" {len(spikes)} times; the farthest {hourly[worst]:.1f} °C at {worst:%Y-%m-%d %H:%M}"
        )
    return sentences
