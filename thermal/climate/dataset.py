"""An hourly climate: its table of hours and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from thermal.climate import gap_filling

ASSUMED = {"rh_pct": 75.0, "wind_m_s": 3.0}  # where a series has none; our judgement, said in the report
YEAR_H = 8766.0
TRUSTED_HOURS = 300 * 24  # a yearly harmonic is fitted only to this much or more


@dataclass(frozen=True)
class Header:
    """Where a series comes from."""

    name: str
    place: str
    latitude: float = 45.0
    longitude: float = 0.0
    elevation_m: float = 0.0
    timezone: str = "UTC"
    kind: str = "observed"  # observed | typical year | given
    source: str = ""
    licence: str = ""
    processing: str = ""
    annual_mean_c: float | None = None
    annual_amplitude_k: float | None = None


@dataclass(frozen=True)
class YearlyHarmonic:
    """Outdoor air over the year: mean [degC], amplitude [K], and the coldest hour of the (UTC) year."""

    mean_c: float
    amplitude_k: float
    coldest_h: float
    fitted: bool


@dataclass(frozen=True)
class Climate:
    """Hours of outdoor weather, whole UTC hours, short gaps filled.

    Attributes
    ----------
    hours : DataFrame
        Index UTC hours; columns air_c [degC], rh_pct [%], wind_m_s [m/s], filled [bool]. `air_c` is empty
        only inside gaps too long to fill.
    assumed : tuple of str
        Columns the source had not, held at `ASSUMED`.
    """

    header: Header
    hours: pd.DataFrame = field(repr=False)
    assumed: tuple[str, ...] = ()

    @property
    def south(self) -> bool:
        """Whether winter falls in the middle of the calendar year."""
        return self.header.latitude < 0

    @property
    def filled_share(self) -> float:
        """Share of hours whose air temperature is not from the source."""
        return float(self.hours["filled"].mean())

    def harmonic(self) -> YearlyHarmonic:
        """The yearly mean and swing, by least squares on whole years of hours.

        Falls back on the header, or on rough figures said to be so, when the series is too short.
        """
        air = self.hours["air_c"].dropna()
        header = self.header
        if header.annual_mean_c is not None and header.annual_amplitude_k is not None:
            return YearlyHarmonic(header.annual_mean_c, header.annual_amplitude_k, self._coldest_default(), True)
        if len(air) < TRUSTED_HOURS:
            # Winter half only: its mean lies some 8 K below the year's, its amplitude is near 12 K inland.
            return YearlyHarmonic(float(air.mean()) + 8.0, 12.0, self._coldest_default(), False)
        angle = 2 * np.pi * hour_of_year(air.index) / YEAR_H
        basis = np.column_stack([np.ones(len(air)), np.cos(angle), np.sin(angle)])
        mean, a, b = np.linalg.lstsq(basis, air.to_numpy(), rcond=None)[0]
        coldest = (np.arctan2(b, a) + np.pi) % (2 * np.pi) / (2 * np.pi) * YEAR_H
        return YearlyHarmonic(float(mean), float(np.hypot(a, b)), float(coldest), True)

    def _coldest_default(self) -> float:
        return (20.0 + (182.0 if self.south else 0.0)) * 24.0


def climate_from(table: pd.DataFrame, header: Header) -> Climate:
    """A climate from a table with a UTC index and at least `air_c`; gaps are filled here and counted."""
    grid = gap_filling.on_the_hour(table[~table.index.duplicated()].sort_index())
    air = gap_filling.fill_gaps(grid["air_c"])
    columns: dict[str, pd.Series] = {"air_c": air}
    assumed = []
    for name, default in ASSUMED.items():
        if name in grid and grid[name].notna().mean() > 0.5:
            columns[name] = gap_filling.fill_gaps(grid[name]).fillna(grid[name].median())
        else:
            columns[name] = pd.Series(default, index=grid.index)
            assumed.append(name)
    columns["filled"] = grid["air_c"].isna() & air.notna()
    if "filled" in grid:
        columns["filled"] |= grid["filled"].fillna(0).astype(bool)
    return Climate(header, pd.DataFrame(columns), tuple(assumed))


def hour_of_year(index: pd.DatetimeIndex) -> np.ndarray:
    """Hours since the first of January of each stamp's own year."""
    return np.asarray((index.day_of_year - 1) * 24 + index.hour, dtype=float)
