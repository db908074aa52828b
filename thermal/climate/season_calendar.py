"""When a winter begins and ends, and its clock."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from thermal.errors import ClimateError

SPIN_UP_H = 14 * 24  # hours simulated before a winter


def season_bounds(year: int, south: bool) -> tuple[datetime, datetime]:
    """First hour of a winter, and first hour after it.

    Parameters
    ----------
    year : int
        Year in which it begins.
    south : bool
        True south of the equator.

    Returns
    -------
    start, end : datetime
        Its first hour, and the first hour after it, local standard time. It lasts from October to April, in the south
        from April to October.
    """
    if south:
        return datetime(year, 4, 1), datetime(year, 11, 1)
    return datetime(year, 10, 1), datetime(year + 1, 5, 1)


def standard_offset(timezone: str, year: int) -> timedelta:
    """Local standard time minus UTC, rounded to the whole hour.

    Parameters
    ----------
    timezone : str
        IANA name of the time zone.
    year : int
        Year.

    Returns
    -------
    timedelta
        The offset.

    Raises
    ------
    ClimateError
        When `timezone` is not an IANA time zone.
    """
    try:
        zone = ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise ClimateError(
            f"{timezone!r} is not a time zone; write an IANA name, for example 'America/Chicago'"
        ) from fault
    stamp = datetime(year, 1, 15, 12, tzinfo=zone)
    offset = (stamp.utcoffset() or timedelta()) - (stamp.dst() or timedelta())
    return timedelta(hours=round(offset / timedelta(hours=1)))
