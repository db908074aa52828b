"""Missing hours: short gaps are filled and counted, long ones stay empty.

Gaps of up to 3 h are filled by a straight line. Gaps of up to 3 days are filled from the same hours of the days before
and after, so that a night keeps its minimum. A winter with a longer gap is not used. Both limits are our own choice.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

LINEAR_H = 3  # longest gap filled by a straight line
NEIGHBOUR_H = 72  # longest gap filled from the days before and after


@dataclass(frozen=True)
class Gap:
    """A run of missing hours.

    Attributes
    ----------
    first, last : Timestamp
        The first and last missing hour, UTC.
    """

    first: pd.Timestamp
    last: pd.Timestamp

    @property
    def hours(self) -> int:
        """Number of missing hours."""
        return int((self.last - self.first) / pd.Timedelta("1h")) + 1


def on_the_hour(table: pd.DataFrame) -> pd.DataFrame:
    """A table with one row for each whole UTC hour from its first time to its last.

    Parameters
    ----------
    table : DataFrame
        Index in UTC, rising, each time once.

    Returns
    -------
    DataFrame
        The same columns. Values between whole hours are interpolated to the hour; missing hours are NaN.
    """
    grid = pd.date_range(table.index[0].ceil("h"), table.index[-1].floor("h"), freq="h")
    if (table.index == table.index.floor("h")).all():
        return table.reindex(grid)
    both = table.reindex(table.index.union(grid))
    progress = both.index.to_series().diff().max()
    limit = max(1, round(pd.Timedelta("1h") / progress)) if pd.notna(progress) else 1
    return both.interpolate(method="time", limit=limit, limit_area="inside").reindex(grid)


def gaps_of(column: pd.Series) -> list[Gap]:
    """Every run of missing values in a column with an hourly index."""
    empty = column.isna()
    run = (empty != empty.shift()).cumsum()[empty]
    return [Gap(part.index[0], part.index[-1]) for _, part in run.groupby(run)]


def fill_gaps(column: pd.Series) -> pd.Series:
    """A column with an hourly index, with its short gaps filled and its long ones left NaN."""
    result = column.copy()
    linear = column.interpolate(method="time", limit_area="inside")
    for gap in gaps_of(column):
        if gap.hours <= LINEAR_H:
            result.loc[gap.first : gap.last] = linear.loc[gap.first : gap.last]
        elif gap.hours <= NEIGHBOUR_H:
            result.loc[gap.first : gap.last] = _from_neighbours(column, gap, linear)
    return result


def _from_neighbours(column: pd.Series, gap: Gap, linear: pd.Series) -> pd.Series:
    """The same hours of the nearest whole days before and after, weighted by how near each is."""
    shift = pd.Timedelta(days=-(-gap.hours // 24))
    hours = pd.date_range(gap.first, gap.last, freq="h")
    before = column.reindex(hours - shift).set_axis(hours)
    after = column.reindex(hours + shift).set_axis(hours)
    weight = pd.Series([(i + 1) / (gap.hours + 1) for i in range(gap.hours)], index=hours)
    blended = (before * (1 - weight) + after * weight).fillna(before).fillna(after)
    return blended.fillna(linear.reindex(hours))
