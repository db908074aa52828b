"""When a winter begins and ends, and the clock it is counted by."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from thermal.errors import ClimateError

SPIN_UP_H = 14 * 24


def season_bounds(year: int, south: bool) -> tuple[datetime, datetime]:
    """First hour and first hour after a winter, local standard time."""
    if south:
        return datetime(year, 4, 1), datetime(year, 11, 1)
    return datetime(year, 10, 1), datetime(year + 1, 5, 1)


def standard_offset(timezone: str, year: int) -> timedelta:
    """Local standard time minus UTC, to the whole hour.

    Raises
    ------
    ClimateError
        When the zone is not an IANA time zone.
    """
    try:
        zone = ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise ClimateError(f"{timezone!r} is not a time zone; write an IANA name such as 'America/Chicago'") from fault
    stamp = datetime(year, 1, 15, 12, tzinfo=zone)
    offset = (stamp.utcoffset() or timedelta()) - (stamp.dst() or timedelta())
    return timedelta(hours=round(offset / timedelta(hours=1)))
