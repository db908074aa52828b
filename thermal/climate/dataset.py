"""An hourly climate: its table of hours, and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from thermal.climate import gap_filling
from thermal.climate.assumed_weather import ASSUMED
from thermal.physics import moist_air

NOWHERE = (45.0, 0.0)  # latitude and longitude where a file has none
SUN_COLUMNS = ("sun_w_m2", "direct_w_m2", "diffuse_w_m2")  # on the horizontal; square to the sun; of the sky
SKY_COLUMNS = ("infrared_w_m2", "cloud_okta")  # longwave of the sky; eighths of it under cloud
YEAR_H = 8766.0
TRUSTED_HOURS = 300 * 24  # fewest hours to which a yearly wave is fitted
ASSUMED_AMPLITUDE_K = 12.0  # of the yearly wave of fewer hours: inland; 5.7 to 15.6 in the bundled files


@dataclass(frozen=True)
class Header:
    """Where a weather file comes from.

    Attributes
    ----------
    name : str
        Name under which plans refer to it.
    place : str
        Where it was measured.
    latitude : float
        Degrees north.
    longitude : float
        Degrees east.
    elevation_m : float
        Height above sea level [m].
    timezone : str
        IANA name of the time zone.
    kind : str
        "observed", "typical year" or "given".
    source : str
        Who provides the data.
    licence : str
        Licence of the data.
    processing : str
        What was changed in the data.
    annual_mean_c : float or None
        Yearly mean of the air temperature [degC]; None to fit it to the hours.
    annual_amplitude_k : float or None
        Amplitude of its yearly wave [K]; None to fit it to the hours.
    position_known : bool
        False where the file does not say where it was measured.
    """

    name: str
    place: str
    latitude: float = NOWHERE[0]
    longitude: float = NOWHERE[1]
    elevation_m: float = 0.0
    timezone: str = "UTC"
    kind: str = "observed"
    source: str = ""
    licence: str = ""
    processing: str = ""
    annual_mean_c: float | None = None
    annual_amplitude_k: float | None = None
    position_known: bool = True

    @property
    def has_position(self) -> bool:
        """Whether latitude and longitude are those of the place, and not the defaults that stand in for none."""
        return self.position_known and (self.latitude, self.longitude) != NOWHERE


@dataclass(frozen=True)
class YearlyHarmonic:
    """Yearly wave of the outdoor air temperature.

    Attributes
    ----------
    mean_c : float
        Yearly mean [degC].
    amplitude_k : float
        Amplitude [K].
    coldest_h : float
        Hour of the year (UTC) at which the wave is coldest [h].
    fitted : bool
        True where mean and amplitude are known, False where they are estimated from a winter.
    """

    mean_c: float
    amplitude_k: float
    coldest_h: float
    fitted: bool


@dataclass(frozen=True)
class Climate:
    """Outdoor weather of whole UTC hours, with short gaps filled.

    Attributes
    ----------
    header : Header
        Where it comes from.
    hours : DataFrame
        Index UTC hours; columns air_c [degC], rh_pct [%], wind_m_s [m/s], filled [bool], and infrared_w_m2 [W/m2] and
        cloud_okta [okta] where the source has them. `air_c` is NaN only in gaps that are too long to fill.
    assumed : tuple of str
        Columns that the source lacks; they have the values of `ASSUMED`.
    joined_year : int or None
        Calendar year whose halves were put together to one winter; None where the hours are in their own order.
    sun : DataFrame or None
        Sun by the source's own stamps, UTC; column sun_w_m2 and, where the source has both, direct_w_m2 and
        diffuse_w_m2 [W/m2]. None where the source has no sun.
    """

    header: Header
    hours: pd.DataFrame = field(repr=False)
    assumed: tuple[str, ...] = ()
    joined_year: int | None = None
    sun: pd.DataFrame | None = field(default=None, repr=False)

    @property
    def south(self) -> bool:
        """Whether the place is south of the equator, where winter is in the middle of the calendar year."""
        return self.header.latitude < 0

    @property
    def filled_share(self) -> float:
        """Share of hours with a filled air temperature. [-]"""
        return float(self.hours["filled"].mean())

    def harmonic(self) -> YearlyHarmonic:
        """Yearly wave of the air temperature, by least squares; mean and amplitude are the header's where it has them.

        Where the file has less than 300 days, the wave is taken 12 K high and laid through the days that it has.
        """
        header, wave = self.header, self._wave()
        if header.annual_amplitude_k is not None:
            wave = replace(wave, amplitude_k=header.annual_amplitude_k)
        return wave if header.annual_mean_c is None else replace(wave, mean_c=header.annual_mean_c, fitted=True)

    def _wave(self) -> YearlyHarmonic:
        """Yearly wave of the hours alone."""
        air = self.hours["air_c"].dropna()
        angle = 2 * np.pi * hour_of_year(air.index) / YEAR_H
        if len(air) < TRUSTED_HOURS:
            coldest_h = self._coldest_default()
            below = ASSUMED_AMPLITUDE_K * np.cos(angle - 2 * np.pi * coldest_h / YEAR_H)
            return YearlyHarmonic(float((air.to_numpy() + below).mean()), ASSUMED_AMPLITUDE_K, coldest_h, False)
        basis = np.column_stack([np.ones(len(air)), np.cos(angle), np.sin(angle)])
        mean, a, b = np.linalg.lstsq(basis, air.to_numpy(), rcond=None)[0]
        coldest = (np.arctan2(b, a) + np.pi) % (2 * np.pi) / (2 * np.pi) * YEAR_H
        return YearlyHarmonic(float(mean), float(np.hypot(a, b)), float(coldest), True)

    def _coldest_default(self) -> float:
        """Hour of the year that is coldest where it is not fitted: 20 January, half a year later in the south."""
        return (20.0 + (182.0 if self.south else 0.0)) * 24.0


def climate_from(table: pd.DataFrame, header: Header) -> Climate:
    """A climate from a table, with its short gaps filled and counted.

    Parameters
    ----------
    table : DataFrame
        Index in UTC; column air_c [degC] and, optionally, rh_pct [%] or dew_c [degC], wind_m_s [m/s], filled [bool],
        and those of `SUN_COLUMNS` and `SKY_COLUMNS`.
    header : Header
        Where it comes from.

    Returns
    -------
    Climate
        Humidity and wind are assumed where the table has them for less than half of its hours.
    """
    table = table[~table.index.duplicated()].sort_index()
    if "rh_pct" not in table and "dew_c" in table:
        table = table.assign(rh_pct=_humidity(table["air_c"], table["dew_c"]))
    grid = gap_filling.on_the_hour(table.drop(columns=list(SUN_COLUMNS), errors="ignore"))
    air = gap_filling.fill_gaps(grid["air_c"])
    columns: dict[str, pd.Series] = {"air_c": air}
    assumed = []
    for name, default in ASSUMED.items():
        if name in grid and grid[name].notna().mean() > 0.5:
            columns[name] = gap_filling.fill_gaps(grid[name]).fillna(grid[name].median())
        else:
            columns[name] = pd.Series(default, index=grid.index)
            assumed.append(name)
    for name in SKY_COLUMNS:
        if name in grid and grid[name].notna().mean() > 0.5:
            columns[name] = gap_filling.fill_gaps(grid[name]).fillna(grid[name].median())
    columns["filled"] = grid["air_c"].isna() & air.notna()
    if "filled" in grid:
        columns["filled"] |= grid["filled"].fillna(0).astype(bool)
    return Climate(header, pd.DataFrame(columns), tuple(assumed), sun=_sun(table))


def _humidity(air_c: pd.Series, dew_c: pd.Series) -> pd.Series:
    """Relative humidity of a dew point, over water as weather stations report it. [%]"""
    vapour, full = (moist_air.water_saturation_pressure(column.to_numpy(dtype=float)) for column in (dew_c, air_c))
    return pd.Series(100.0 * np.minimum(vapour / full, 1.0), index=air_c.index)


def _sun(table: pd.DataFrame) -> pd.DataFrame | None:
    """The columns of the sun; None where the table has it for no hour, or none that is not zero."""
    if "sun_w_m2" not in table or not (table["sun_w_m2"] > 0.0).any():
        return None
    names = list(SUN_COLUMNS) if set(SUN_COLUMNS) <= set(table.columns) else ["sun_w_m2"]
    return table[names].astype(float)


def hour_of_year(index: pd.DatetimeIndex) -> np.ndarray:
    """Hours since 1 January of the year of each time, shape (time,). [h]"""
    return np.asarray((index.day_of_year - 1) * 24 + index.hour, dtype=float)
