"""A weather file downloaded winter by winter: saved as it comes, joined at the end, resumed after an interruption."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

import pandas as pd

from thermal.climate import meteostat_client as archive
from thermal.climate.dataset import Header
from thermal.climate.meteostat_client import FetchedWinter, Station
from thermal.climate.writer import check_name, compress, write_dataset
from thermal.core.atomic_write import write_atomically
from thermal.core.display_units import percent_text
from thermal.core.file_lock import only_one
from thermal.errors import ClimateError

FOLDER = Path("climates")


@dataclass(frozen=True)
class Request:
    """A request for a download.

    Attributes
    ----------
    latitude : float
        Degrees north.
    longitude : float
        Degrees east.
    elevation_m : float or None
        Height of the place above sea level [m]; None where not known.
    winters : tuple of int
        Years in which the winters begin.
    name : str
        Name for the weather file.
    observed_only : bool
        True to leave out hours from weather models.
    """

    latitude: float
    longitude: float
    elevation_m: float | None
    winters: tuple[int, ...]
    name: str
    observed_only: bool = False


def download_series(
    request: Request, on_message: Callable[[str], None], progress: Callable[[list[int]], Iterable[int]]
) -> Path:
    """Download the winters of a request and write them as one weather file.

    Parameters
    ----------
    request : Request
        Place, winters and name.
    on_message : callable
        Called with each message to the user.
    progress : callable
        Takes the list of winters, returns them one by one and shows progress.

    Returns
    -------
    Path
        The CSV file.

    Raises
    ------
    ClimateError
        At the first winter that cannot be downloaded. Earlier ones are saved, and the next call with the same request
        uses them.
    OverwinterError
        When a file cannot be written, or another command fetches the same name.
    """
    name = check_name(request.name)
    busy = f"{name!r} is already being fetched by another command; wait until that has ended"
    with only_one(FOLDER / f".{name}.lock", busy):
        return _download(request, FOLDER / f".{name}-parts", on_message, progress)


def _download(
    request: Request,
    parts: Path,
    on_message: Callable[[str], None],
    progress: Callable[[list[int]], Iterable[int]],
) -> Path:
    """The winters of a request, saved one by one, joined, and their parts deleted."""
    chosen = _station_begun_with(parts, request)
    stations = [chosen] if chosen else archive.stations_near(request.latitude, request.longitude, request.elevation_m)
    years = sorted(request.winters)
    for year in progress(years):
        if (parts / f"{year}.csv.gz").exists() and chosen:
            on_message(f"winter {year}: already downloaded")
            continue
        if chosen is None:
            chosen, winter = archive.best_station(stations, year, request.observed_only, on_message)
            write_atomically(parts / "station.json", json.dumps({"request": _key(request), "station": asdict(chosen)}))
        else:
            again = archive.download_winter(chosen, year, request.observed_only)
            if again is None:
                raise ClimateError(
                    f"{chosen.name} has no data of winter {year}; earlier winters are saved, so run this again without"
                    f" winter {year}"
                )
            winter = again
        write_atomically(parts / f"{year}.csv.gz", compress(winter.hours))
        write_atomically(parts / f"{year}.json", json.dumps({"credit": winter.credit}))
        on_message(f"{_credit(chosen, winter)} ({years.index(year) + 1} of {len(years)})")
    assert chosen is not None
    path = _join_years(request, chosen, parts, years)
    for leftover in parts.iterdir():
        leftover.unlink()
    parts.rmdir()
    return path


def _join_years(request: Request, station: Station, parts: Path, years: list[int]) -> Path:
    """All winters joined and written as one weather file."""
    tables = [pd.read_csv(parts / f"{year}.csv.gz", index_col="time_utc", parse_dates=True) for year in years]
    hours = pd.concat(tables)
    hours = hours[~hours.index.duplicated()].sort_index()
    credits = dict.fromkeys(json.loads((parts / f"{year}.json").read_text("utf-8"))["credit"] for year in years)
    model = float(hours["model"].astype(bool).mean())
    header = Header(
        name=request.name,
        place=f"{station.name} (station {station.id}), {station.distance_m / 1000:.0f} km away",
        latitude=station.latitude,
        longitude=station.longitude,
        elevation_m=station.elevation_m,
        timezone=station.timezone,
        kind="observed",
        source=f"{'; '.join(credits)}; downloaded {datetime.now(UTC):%Y-%m-%d} with meteostat",
        licence=archive.LICENCE,
        processing=f"km/h to m/s; {100.0 * model:.1f} % of hours are model output; gaps are filled in on reading",
    )
    return write_dataset(FOLDER, header, hours.drop(columns="model"))


def _key(request: Request) -> list[object]:
    """The parts of a request that decide the station."""
    return [request.latitude, request.longitude, request.elevation_m, request.observed_only]


def _station_begun_with(parts: Path, request: Request) -> Station | None:
    """The station of an earlier, interrupted call with the same place; None where there was none."""
    try:
        kept = json.loads((parts / "station.json").read_text("utf-8"))
        return Station(**kept["station"]) if kept["request"] == _key(request) else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _credit(station: Station, winter: FetchedWinter) -> str:
    """Message about a downloaded winter."""
    model = f", {percent_text(winter.model_share)} of it model output" if winter.model_share else ""
    where = f"{station.name}, {station.distance_m / 1000:.0f} km away, elevation {station.elevation_m:.0f} m"
    return f"winter {winter.year}: {100.0 * winter.coverage:.1f} % of hours from {where}{model}"
