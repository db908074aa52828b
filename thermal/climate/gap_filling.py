"""Missing hours: short gaps are filled and counted, long ones are left empty and reported.

Up to 3 h linear; up to 3 days from the same hours of the days before and after, so that a night keeps its
minimum; longer gaps stay empty and cost the winter they fall in. The two limits are ours (DESIGN section 7).
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

LINEAR_H = 3
NEIGHBOUR_H = 72


@dataclass(frozen=True)
class Gap:
    """A run of missing hours: first and last, UTC."""

    first: pd.Timestamp
    last: pd.Timestamp

    @property
    def hours(self) -> int:
        """How many hours are missing."""
        return int((self.last - self.first) / pd.Timedelta("1h")) + 1


def on_the_hour(table: pd.DataFrame) -> pd.DataFrame:
    """A table with one row for each whole UTC hour from its first to its last stamp.

    Half-hour stamps are interpolated to the whole hour; missing hours become empty rows.
    """
    grid = pd.date_range(table.index[0].ceil("h"), table.index[-1].floor("h"), freq="h")
    if (table.index == table.index.floor("h")).all():
        return table.reindex(grid)
    both = table.reindex(table.index.union(grid))
    progress = both.index.to_series().diff().max()
    limit = max(1, round(pd.Timedelta("1h") / progress)) if pd.notna(progress) else 1
    return both.interpolate(method="time", limit=limit, limit_area="inside").reindex(grid)


def gaps_of(column: pd.Series) -> list[Gap]:
    """Every run of missing values."""
    empty = column.isna()
    run = (empty != empty.shift()).cumsum()[empty]
    return [Gap(part.index[0], part.index[-1]) for _, part in run.groupby(run)]


def fill_gaps(column: pd.Series) -> pd.Series:
    """A column with its short gaps filled and its long ones left empty."""
    result = column.copy()
    linear = column.interpolate(method="time", limit_area="inside")
    for gap in gaps_of(column):
        if gap.hours <= LINEAR_H:
            result.loc[gap.first : gap.last] = linear.loc[gap.first : gap.last]
        elif gap.hours <= NEIGHBOUR_H:
            result.loc[gap.first : gap.last] = _from_neighbours(column, gap, linear)
    return result


def _from_neighbours(column: pd.Series, gap: Gap, linear: pd.Series) -> pd.Series:
    """Same hours of the nearest whole days before and after, blended across the gap."""
    shift = pd.Timedelta(days=-(-gap.hours // 24))
    hours = pd.date_range(gap.first, gap.last, freq="h")
    before = column.reindex(hours - shift).set_axis(hours)
    after = column.reindex(hours + shift).set_axis(hours)
    weight = pd.Series([(i + 1) / (gap.hours + 1) for i in range(gap.hours)], index=hours)
    blended = (before * (1 - weight) + after * weight).fillna(before).fillna(after)
    return blended.fillna(linear.reindex(hours))
