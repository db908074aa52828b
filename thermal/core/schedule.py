"""A daily schedule: the share of each hour, 0 to 1, for which something runs; 24 hours of local standard time."""

from __future__ import annotations

DailySchedule = tuple[float, ...]
ALWAYS: DailySchedule = (1.0,) * 24
NEVER: DailySchedule = (0.0,) * 24
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")  # Monday is 0, as in pandas


def by_hour(usual: float, other: float | None, hours: DailySchedule) -> tuple[float, ...]:
    """A value by hour of the day: the usual one, and another in some hours; the mean of both in hours that are shared.

    Parameters
    ----------
    usual : float
        The value outside of those hours.
    other : float or None
        The value in those hours; None where it is the usual one.
    hours : tuple of float, (24,)
        Share of each hour of the day that has the other value [-].
    """
    return tuple(usual if other is None else usual + share * (other - usual) for share in hours)
