"""A daily schedule: how much of each local hour something runs, 24 shares from 0 to 1 in standard time."""

from __future__ import annotations

DailySchedule = tuple[float, ...]
ALWAYS: DailySchedule = (1.0,) * 24
NEVER: DailySchedule = (0.0,) * 24
