"""Hours from a public weather archive through the package meteostat: one station and one winter at a time.

Only this module uses the network. The package logs errors where others raise them, so its log is read here, and the
hours are counted here.
"""

from __future__ import annotations

import logging
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pandas as pd

from thermal.climate.bounded_download import bounded_downloads
from thermal.climate.season_calendar import SPIN_UP_H, season_bounds
from thermal.core.display_units import percent_text
from thermal.errors import ClimateError

RADIUS_M = 100_000
TRIED = 8  # most stations tried
ENOUGH = 0.95  # smallest share of a winter's hours with data
HEIGHT_PENALTY = 10.0  # metres of distance that count as much as a metre of height
SOCKET_TIMEOUT_S = 8.0
FOREVER_S = 10**9
NETWORK = {"network_max_retries": 1, "network_timeout": 8}
MODEL_SOURCES = ("dwd_mosmix", "metno_forecast")
COLUMNS = {  # of the archive: name and factor to the unit of the column
    "air_c": ("temp", 1.0),
    "rh_pct": ("rhum", 1.0),
    "wind_m_s": ("wspd", 1.0 / 3.6),
    "dew_c": ("dwpt", 1.0),
    "cloud_okta": ("cldc", 1.0),
}
ALWAYS = ("air_c", "rh_pct", "wind_m_s")  # written even where the archive has none
LICENCE = "CC BY 4.0 (Meteostat's licence page)"
FALLBACK_CREDIT = "Meteostat and its data providers"


@dataclass(frozen=True)
class Station:
    """A weather station near the place asked for.

    Attributes
    ----------
    id : str
        Its identifier in the archive.
    name : str
        Its name.
    latitude : float
        Degrees north.
    longitude : float
        Degrees east.
    elevation_m : float
        Height above sea level [m].
    timezone : str
        IANA name of its time zone.
    distance_m : float
        Distance from the place [m].
    """

    id: str
    name: str
    latitude: float
    longitude: float
    elevation_m: float
    timezone: str
    distance_m: float


@dataclass(frozen=True)
class FetchedWinter:
    """Hours of one winter and the two weeks before it.

    Attributes
    ----------
    year : int
        Year in which the winter begins.
    hours : DataFrame
        Index UTC hours; columns air_c [degC], rh_pct [%], wind_m_s [m/s], model [bool]; dew_c [degC] and cloud_okta
        [okta] where the archive has them.
    coverage : float
        Share of the winter's hours with an air temperature [-].
    model_share : float
        Share of those that come from a weather model [-].
    credit : str
        Who provides the data.
    """

    year: int
    hours: pd.DataFrame
    coverage: float
    model_share: float
    credit: str


class _Listener(logging.Handler):
    """Log handler that keeps the errors which the package logs."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.failures: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep an error; a missing file (404) is not one."""
        fault = record.exc_info[1] if record.exc_info else None
        if fault is None or getattr(fault, "code", None) == 404:
            return
        self.failures.append(f"{type(fault).__name__}: {getattr(fault, 'reason', None) or fault}"[:160])


@contextmanager
def _archive() -> Iterator[tuple[Any, _Listener]]:
    """The package with limits on time and size, without its cache, and with its log read; restored afterwards."""
    import meteostat
    from meteostat.core.network import network_service

    listener, logger = _Listener(), logging.getLogger("meteostat")
    before = (logger.handlers[:], logger.propagate, logger.level, socket.getdefaulttimeout())
    settings = {**NETWORK, "cache_enable": False}
    kept = {name: getattr(meteostat.config, name) for name in settings}
    logger.handlers, logger.propagate = [listener], False
    logger.setLevel(logging.INFO)
    socket.setdefaulttimeout(SOCKET_TIMEOUT_S)
    for name, value in settings.items():
        setattr(meteostat.config, name, value)
    try:
        with bounded_downloads(network_service):
            yield meteostat, listener
    finally:
        logger.handlers, logger.propagate = before[0], before[1]
        logger.setLevel(before[2])
        socket.setdefaulttimeout(before[3])
        for name, value in kept.items():
            setattr(meteostat.config, name, value)


def stations_near(latitude: float, longitude: float, elevation_m: float | None = None) -> list[Station]:
    """Stations within 100 km, nearest first.

    Parameters
    ----------
    latitude, longitude : float
        The place, degrees north and east.
    elevation_m : float, optional
        Its height above sea level [m]. A metre of height difference then counts as ten metres of distance.

    Returns
    -------
    list of Station
        At least one.

    Raises
    ------
    ClimateError
        When the archive cannot be reached, or has no station there.
    """
    with _archive() as (meteostat, _):
        point = meteostat.Point(latitude, longitude)
        try:
            table = _nearby(meteostat, point)
        except Exception as fault:  # the package raises plain Exception for network errors
            raise ClimateError(
                f"the weather archive's list of stations could not be read ({str(fault)[:120]}). Try again later, or"
                " use `overwinter climate add FILE` with a weather file of your own."
            ) from fault
    results = [_station(identifier, row) for identifier, row in table.iterrows()] if table is not None else []
    if not results:
        raise ClimateError(
            f"no weather station within {RADIUS_M // 1000} km of {latitude:g}, {longitude:g}; correct the place, or use"
            " `overwinter climate add FILE`"
        )

    def remoteness(item: Station) -> float:
        height = 0.0 if elevation_m is None else abs(item.elevation_m - elevation_m)
        return item.distance_m + HEIGHT_PENALTY * height

    return sorted(results, key=remoteness)


def _nearby(meteostat: Any, point: Any) -> pd.DataFrame | None:
    """The list of stations; an old copy where the archive does not answer. A broken copy is deleted."""
    config = meteostat.config
    copy = Path(config.stations_db_file) if config.stations_db_file else None
    if copy is not None:
        copy.parent.mkdir(parents=True, exist_ok=True)
    try:
        return meteostat.stations.nearby(point, radius=RADIUS_M, limit=40)
    except pd.errors.DatabaseError:
        if copy is not None:
            copy.unlink(missing_ok=True)
        raise
    except Exception:
        if copy is None or not copy.exists() or copy.stat().st_size == 0:
            raise
        kept = (config.stations_db_ttl, config.cache_ttl)
        config.stations_db_ttl = config.cache_ttl = FOREVER_S
        try:
            return meteostat.stations.nearby(point, radius=RADIUS_M, limit=40)
        finally:
            config.stations_db_ttl, config.cache_ttl = kept


def _station(identifier: object, row: pd.Series) -> Station:
    """A station from a row of the list."""
    height = row["elevation"]
    return Station(
        id=str(identifier),
        name=str(row["name"]),
        latitude=float(row["latitude"]),
        longitude=float(row["longitude"]),
        elevation_m=0.0 if pd.isna(height) else float(height),
        timezone=str(row["timezone"]),
        distance_m=float(row["distance"]),
    )


def download_winter(station: Station, year: int, observed_only: bool = False) -> FetchedWinter | None:
    """One winter of one station, with the two weeks before it for the spin-up.

    Parameters
    ----------
    station : Station
        The station.
    year : int
        Year in which the winter begins.
    observed_only : bool
        True to leave out hours from weather models.

    Returns
    -------
    FetchedWinter or None
        None where the archive has nothing of it.

    Raises
    ------
    ClimateError
        When the winter has not begun, or a file could not be read: an incomplete download is never used.
    """
    south = station.latitude < 0
    start, end = season_bounds(year, south)
    start -= timedelta(hours=SPIN_UP_H + 24)
    end = min(end + timedelta(hours=24), datetime.now(UTC).replace(tzinfo=None, minute=0, second=0, microsecond=0))
    if end <= start:
        raise ClimateError(f"winter {year} has not begun; ask for earlier winters")
    with _archive() as (meteostat, listener):
        kept = meteostat.config.include_model_data
        meteostat.config.include_model_data = not observed_only
        try:
            series = meteostat.hourly(
                meteostat.Station(
                    id=station.id, latitude=station.latitude, longitude=station.longitude, elevation=station.elevation_m
                ),
                start,
                end,
                parameters=[getattr(meteostat.Parameter, name.upper()) for name, _ in COLUMNS.values()],
            )
            table = None if series is None else series.fetch(sources=True)
            credit = str(getattr(series, "attribution", "") or FALLBACK_CREDIT)
        except ClimateError:
            raise
        except Exception as fault:  # the package and pandas raise several unrelated types
            listener.failures.append(f"{type(fault).__name__}: {fault}"[:160])
            table, credit = None, FALLBACK_CREDIT
        finally:
            meteostat.config.include_model_data = kept
    if listener.failures:
        raise ClimateError(
            f"winter {year} of {station.name} could not be downloaded completely ({listener.failures[0]}). Nothing of"
            " it was saved. Try again later, or use `overwinter climate add FILE`."
        )
    if table is None or not len(table):
        return None
    return _tidy(table, year, start, end, south, credit)


def _tidy(table: pd.DataFrame, year: int, start: datetime, end: datetime, south: bool, credit: str) -> FetchedWinter:
    """Columns in SI units for every hour of the winter, and the share of hours that have values."""
    table = table.rename(columns=str)
    index = pd.DatetimeIndex(table.index).tz_localize("UTC")
    hours = pd.DataFrame({name: _column(table, name).to_numpy() for name in COLUMNS}, index=index)
    hours = hours[[name for name in hours if name in ALWAYS or hours[name].notna().any()]]
    source = table["temp_source"].tolist() if "temp_source" in table else [""] * len(table)
    hours["model"] = [float(any(item in str(text) for item in MODEL_SOURCES)) for text in source]
    grid = pd.date_range(pd.Timestamp(start, tz="UTC"), pd.Timestamp(end, tz="UTC"), freq="h")
    hours = hours.reindex(grid)
    hours["model"] = hours["model"].fillna(0.0) > 0
    first, last = (pd.Timestamp(season_bound, tz="UTC") for season_bound in season_bounds(year, south))
    season = hours.loc[first : min(last, grid[-1])]
    present = season["air_c"].notna()
    share = float(season["model"][present].mean()) if present.any() else 0.0
    return FetchedWinter(year, hours, float(present.mean()), share, credit)


def _column(table: pd.DataFrame, name: str) -> pd.Series:
    """A column of the archive in the unit of ours; without values where the archive lacks it."""
    theirs, factor = COLUMNS[name]
    if theirs not in table:
        return pd.Series(float("nan"), index=table.index)
    return pd.to_numeric(table[theirs], errors="coerce").astype("float64") * factor


def best_station(
    stations: list[Station], year: int, observed_only: bool, on_message: Callable[[str], None]
) -> tuple[Station, FetchedWinter]:
    """The first station with enough data of a winter.

    Parameters
    ----------
    stations : list of Station
        Stations, the nearest first; at most eight are tried.
    year : int
        Year in which the winter begins.
    observed_only : bool
        True to leave out hours from weather models.
    on_message : callable
        Called with a message on each station that has too little.

    Returns
    -------
    station : Station
        The station.
    winter : FetchedWinter
        Its winter.

    Raises
    ------
    ClimateError
        When none of them has enough, or a download fails.
    """
    passed = []
    for station in stations[:TRIED]:
        winter = download_winter(station, year, observed_only)
        coverage = 0.0 if winter is None else winter.coverage
        if winter is not None and coverage >= ENOUGH:
            return station, winter
        passed.append(f"{station.name} ({station.distance_m / 1000:.0f} km): {percent_text(coverage)}")
        on_message(f"{passed[-1]} of winter {year}: too little, next station")
    raise ClimateError(
        f"no station nearby has {percent_text(ENOUGH)} of winter {year}: {'; '.join(passed)}. Ask for other winters, or"
        " use `overwinter climate add FILE`."
    )
