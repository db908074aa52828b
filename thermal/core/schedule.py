"""A daily schedule: the share of each hour, 0 to 1, for which something runs; 24 hours of local standard time."""

from __future__ import annotations

DailySchedule = tuple[float, ...]
ALWAYS: DailySchedule = (1.0,) * 24
NEVER: DailySchedule = (0.0,) * 24
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")  # Monday is 0, as in pandas
