"""The cold spells of each winter, on which heaters are sized, and the weeks that lead up to them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from thermal.climate.forcing import Forcing, join_forcings
from thermal.climate.heating_seasons import Weather, excerpt, excerpt_with_time_before
from thermal.core.arrays import Array

SPELL_H = 10 * 24  # hours of a spell
LEAD_H = 7 * 24  # hours of the spell before the coldest hour; slower water is tested on the whole winter
WARM_UP_H = 7 * 24  # of the 15 days before a spell, the first ones, not counted
APPROACH_H = 15 * 24  # those 15 days; how near they bring a heater: `excerpt_with_time_before`
LONG_H = 5 * 24  # hours of the mean temperature that matters for much, well-insulated water
CUT_WINDOWS_H = (0, 1), (12, 3), (48, 3), (24, 24), (24, 72), (24, 168)  # before and after a power cut
COLDEST_CUTS = 2  # starts of each window; with fewer, a windier day may be missed
WINTER_WINDOWS_H = 1, 24, LONG_H, 240, 720  # means that a winter is known by: little water follows hours, much a month
COLDEST_WINTERS = 2  # of each window


def coldest_hours(weather: Weather, winter: int) -> list[int]:
    """The coldest hour outdoors of each day of a winter, counted from the winter's start. [h]"""
    days = _outdoor(weather, winter).reshape(-1, 24)
    return [24 * day + int(hour) for day, hour in enumerate(days.argmin(axis=1))]


def coldest_cuts(weather: Weather, each: int = COLDEST_CUTS) -> list[tuple[int, int]]:
    """Power cuts of which one is, as a rule, the worst: those in the coldest weather, of all winters.

    Parameters
    ----------
    weather : Weather
        The winters.
    each : int
        Power cuts of each window.

    Returns
    -------
    list of (int, int)
        Winter and hour from its start. Each is the coldest hour of its day, as in `coldest_hours`. Little water follows
        the coldest hours, much water the coldest week.
    """
    winters = [np.array(coldest_hours(weather, winter)) for winter in range(len(weather.winters))]
    cuts = [(winter, int(hour)) for winter, hours in enumerate(winters) for hour in hours]
    sums = [np.cumsum(np.append(0.0, _outdoor(weather, winter))) for winter in range(len(winters))]
    chosen: dict[tuple[int, int], None] = {}
    for before_h, after_h in CUT_WINDOWS_H:
        means = []
        for hours, total in zip(winters, sums, strict=True):
            first, last = np.maximum(hours - before_h, 0), np.minimum(hours + after_h, len(total) - 1)
            means.append((total[last] - total[first]) / (last - first))
        coldest = np.argsort(np.concatenate(means), kind="stable")[:each]
        chosen |= dict.fromkeys(cuts[index] for index in coldest)
    return list(chosen)


def spell_rows(weather: Weather) -> Array:
    """First rows of two cold spells in each winter.

    Parameters
    ----------
    weather : Weather
        The winters.

    Returns
    -------
    Array of int, shape (2, winter)
        The spell around the coldest hour, and the spell that ends less than a day after the coldest five days.
    """
    rows = np.empty((2, len(weather.winters)), dtype=int)
    for i in range(len(weather.winters)):
        outdoor = _outdoor(weather, i)
        sums = np.cumsum(np.append(0.0, outdoor))
        ends = LONG_H + int(np.argmin(sums[LONG_H:] - sums[:-LONG_H]))
        rows[0, i] = _midnight(weather, i, int(np.argmin(outdoor)) - LEAD_H)
        rows[1, i] = _midnight(weather, i, ends + 24 - SPELL_H)
    return rows


@dataclass(frozen=True)
class Spells:
    """Cold spells of several winters side by side.

    Attributes
    ----------
    forcing : Forcing
        The spells alone, one column for each.
    approach : Forcing
        The weeks before each spell and the spell itself.
    row : Array of int, shape (1, spell)
        Row of `approach` at which the spell begins.
    """

    forcing: Forcing
    approach: Forcing
    row: Array


def spells_of(weather: Weather, rare: Weather | None = None) -> Spells:
    """The cold spells of some winters, and of the weeks with a rare cold spell.

    Parameters
    ----------
    weather : Weather
        The winters.
    rare : Weather, optional
        Weeks with a rare cold spell. Their last days are a spell too, since much water is coldest some days later. What
        comes before their spells is as recorded.
    """
    parts = [(weather, spell_rows(weather))]
    if rare is not None:
        parts.append((rare, np.append(spell_rows(rare), _midnight(rare, 0, rare.winters[0].hours))[:, None]))
    places = [(part, np.tile(np.arange(rows.shape[1]), len(rows)), rows.ravel()) for part, rows in parts]
    begins = [np.maximum(rows - APPROACH_H, 0) for _, _, rows in places]
    lead_h = [rows - first for (_, _, rows), first in zip(places, begins, strict=True)]
    longest = max(int(lead.max()) for lead in lead_h) + SPELL_H
    approaches = [
        replace(excerpt_with_time_before(part, winter, first, longest), spin_up_h=WARM_UP_H, end_h=lead + SPELL_H)
        for (part, winter, _), first, lead in zip(places, begins, lead_h, strict=True)
    ]
    spells = [excerpt(part, winter, rows, SPELL_H) for part, winter, rows in places]
    return Spells(join_forcings(spells), join_forcings(approaches), np.concatenate(lead_h)[None])


def coldest_winters(weather: Weather, each: int = COLDEST_WINTERS) -> Array:
    """Indices of the winters of which one is, as a rule, the hardest: those with the coldest means, in order.

    Parameters
    ----------
    weather : Weather
        The winters.
    each : int
        Winters of each window.

    Returns
    -------
    Array of int, shape (chosen winter,)
        The coldest by each of `WINTER_WINDOWS_H`; each winter once.
    """
    winters = range(len(weather.winters))
    sums = [np.cumsum(np.append(0.0, _outdoor(weather, winter))) for winter in winters]
    chosen: set[int] = set()
    for window_h in WINTER_WINDOWS_H:
        coldest = [float((total[window_h:] - total[:-window_h]).min(initial=np.inf)) for total in sums]
        chosen |= set(np.argsort(coldest, kind="stable")[:each].tolist())
    return np.array(sorted(chosen))


def winters_from_mild_to_cold(weather: Weather) -> Array:
    """Indices of the winters by their mean temperature outdoors, the mildest first."""
    return np.argsort([-_outdoor(weather, winter).mean() for winter in range(len(weather.winters))], kind="stable")


def hardest_winters(weather: Weather, each: int = COLDEST_WINTERS) -> Array:
    """Indices of the winters that a sample is simulated in beside its own, in order.

    Of these one is, as a rule, the hardest on the heater, one the dearest, and one has the worst power cut: the
    `coldest_winters`, those with the lowest mean of all, and those of the `coldest_cuts`.

    Parameters
    ----------
    weather : Weather
        The winters.
    each : int
        Winters of each kind.
    """
    dearest = winters_from_mild_to_cold(weather)[-each:]
    cuts = [winter for winter, _ in coldest_cuts(weather, each)]
    return np.array(sorted({*coldest_winters(weather, each).tolist(), *dearest.tolist(), *cuts}))


def take_winters(weather: Weather, index: Array) -> Weather:
    """Some winters of the weather.

    Parameters
    ----------
    weather : Weather
        The winters.
    index : Array of int, shape (chosen winter,)
        Indices of those to take.
    """
    hourly: dict[str, Any] = {
        name: values[..., index] for name, values in vars(weather).items() if isinstance(values, np.ndarray)
    }
    return replace(weather, winters=tuple(weather.winters[int(i)] for i in index), **hourly)


def _outdoor(weather: Weather, winter: int) -> Array:
    """Outdoor temperature of each hour of a winter, without its spin-up. [degC]"""
    start = weather.spin_up_h
    return weather.outdoor_c[start : start + weather.winters[winter].hours, winter]


def _midnight(weather: Weather, winter: int, hour: int) -> int:
    """Row of the midnight before an hour of a winter, early enough for a whole spell to follow."""
    latest = max(weather.winters[winter].hours - SPELL_H, 0)
    return int(weather.spin_up_h + min(max(hour, 0), latest) // 24 * 24)
