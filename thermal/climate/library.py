"""Weather files, bundled or your own: an hourly CSV with a TOML header beside it."""

from __future__ import annotations

import io
import math
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from thermal.climate.cell_numbers import as_numbers
from thermal.climate.dataset import Climate, Header, climate_from
from thermal.climate.sun_hours import DARK_W_M2, check_not_negative
from thermal.climate.text_file import PLAUSIBLE_C, check_span, decompress
from thermal.core.shown_text import cut, printable
from thermal.core.suggest import nearest
from thermal.core.table_limits import LONGEST_CELL, MOST_COLUMNS, check_cell, check_columns
from thermal.errors import ClimateError

POSSIBLE = {  # values outside count as missing
    "rh_pct": (0.0, 100.5), "wind_m_s": (0.0, 120.0), "dew_c": (-90.0, 40.0), "sun_w_m2": (-DARK_W_M2, 1600.0),
    "direct_w_m2": (-DARK_W_M2, 1400.0), "diffuse_w_m2": (-DARK_W_M2, 1000.0), "infrared_w_m2": (50.0, 600.0),
    "cloud_okta": (0.0, 8.0),
}  # fmt: skip
LONGEST_WORDS = 2000  # characters of a text in a header


def folders() -> list[Path]:
    """Folders with weather files: `climates` in the working folder first, then the bundled ones."""
    package = Path(__file__).resolve().parent.parent
    places = (Path("climates"), package / "climates", package.parent / "climates")
    return [place for place in places if place.is_dir()]


def available() -> dict[str, Path]:
    """The CSV file of every weather file by its name."""
    by_name: dict[str, Path] = {}
    for folder in folders():
        for header in sorted(folder.glob("*.toml")):
            csv = header.with_suffix(".csv.gz")
            if csv.exists():
                by_name.setdefault(header.stem, csv)
    return by_name


def nearest_series(latitude: float, longitude: float) -> tuple[str, float] | None:
    """The weather file nearest to a place, and how far it is [km]; None where none has a position.

    Parameters
    ----------
    latitude, longitude : float
        Of the place, degrees north and east.
    """
    headers = [(name, read_header(path)) for name, path in available().items()]
    known = [(name, _distance_km(header, latitude, longitude)) for name, header in headers if header.has_position]
    return min(known, key=lambda pair: pair[1], default=None)


def _distance_km(header: Header, latitude: float, longitude: float) -> float:
    """Along the great circle, by the haversine formula on a sphere of 6,371 km."""
    north, other = math.radians(header.latitude), math.radians(latitude)
    east = math.radians(longitude - header.longitude)
    half = math.sin((other - north) / 2.0) ** 2 + math.cos(north) * math.cos(other) * math.sin(east / 2.0) ** 2
    return 2.0 * 6371.0 * math.asin(math.sqrt(half))


def load_climate(name: str) -> Climate:
    """The weather file of a name.

    Parameters
    ----------
    name : str
        One of the names that `available` lists.

    Returns
    -------
    Climate
        Its hours, with short gaps filled.

    Raises
    ------
    ClimateError
        When no weather file has that name, or it cannot be read.
    """
    known = available()
    if name not in known:
        raise ClimateError(f"no weather file is called {name!r}; {nearest(name, known)}")
    return read_climate(known[name])


def read_climate(path: Path) -> Climate:
    """A climate from a CSV file, with the header beside it where there is one.

    Parameters
    ----------
    path : Path
        The CSV file, gzipped or not.

    Returns
    -------
    Climate
        Its hours, with short gaps filled.

    Raises
    ------
    ClimateError
        When the file cannot be read, or has no usable `time_utc` and `air_c` columns.
    """
    return climate_from(_table(path), read_header(path))


def read_header(path: Path) -> Header:
    """The TOML header beside a CSV file.

    Parameters
    ----------
    path : Path
        The CSV file.

    Returns
    -------
    Header
        With the file's name only, where there is no TOML file.

    Raises
    ------
    ClimateError
        When the TOML file cannot be read.
    """
    stem = path.name.removesuffix(".gz").removesuffix(".csv")
    beside = path.with_name(stem + ".toml")
    if not beside.exists():
        return Header(name=stem, place=str(path), kind="given")
    try:
        words = tomllib.loads(beside.read_text("utf-8-sig"))
    except (OSError, ValueError, RecursionError) as fault:  # also of TOML that is not valid
        raise ClimateError(f"{beside}: cannot be read ({fault})") from fault
    kinds = {field.name: str(field.type) for field in fields(Header)}
    given = {key: _header_value(beside, key, value, kinds[key]) for key, value in words.items() if key in kinds}
    return Header(**{"name": stem, "place": stem, "position_known": {"latitude", "longitude"} <= given.keys(), **given})


def _header_value(path: Path, key: str, value: Any, kind: str) -> Any:
    """A value of a header, checked; control characters of a text become escapes, which a terminal does not obey."""
    if kind == "str" and isinstance(value, str) and len(value) <= LONGEST_WORDS:
        return printable(value)
    if kind == "bool" and isinstance(value, bool):
        return value
    if kind.startswith("float") and type(value) in (int, float) and abs(value) <= 1e5:
        return value
    wanted = f"a text of at most {LONGEST_WORDS} characters" if kind == "str" else "true or false"
    wanted = "a number" if kind.startswith("float") else wanted
    raise ClimateError(f"{path}: {key} = {cut(repr(value))} is not accepted; write {wanted}")


def _table(path: Path) -> pd.DataFrame:
    """The hours of a CSV file, checked."""
    try:
        raw = decompress(path)
        longest = max(map(len, raw.split(b"\n")))
        if longest > LONGEST_CELL + MOST_COLUMNS:  # in a file of few short columns, one cell
            raise ClimateError(f"{path}: a line has {longest:,} bytes; at most {LONGEST_CELL:,} are allowed")
        table = pd.read_csv(io.BytesIO(raw), encoding="utf-8-sig")
    except UnicodeDecodeError as fault:
        raise ClimateError(f"{path}: is not UTF-8 text (byte {fault.start}); save it as CSV UTF-8") from fault
    except (ValueError, OverflowError) as fault:  # the parser errors of pandas are ValueErrors
        raise ClimateError(f"{path}: cannot be read ({fault})") from fault
    check_columns(path, len(table.columns))
    for name in table.columns if longest > LONGEST_CELL else ():  # no cell is longer than its line
        if not pd.api.types.is_numeric_dtype(table[name]):
            lengths = [len(str(cell)) for cell in (name, *table[name])]
            check_cell(path, int(np.argmax(lengths)) + 1, max(lengths))
    missing = [name for name in ("time_utc", "air_c") if name not in table]
    if missing:
        raise ClimateError(
            f"{path}: no column {' or '.join(missing)} (it has"
            f" {', '.join(str(name)[:40] for name in table.columns[:8])});"
            " `overwinter climate add` reads other headings and units"
        )
    written = table.pop("time_utc")
    stamps = pd.to_datetime(written, utc=True, errors="coerce", format="ISO8601")
    if stamps.isna().any():
        first = int(stamps.isna().to_numpy().argmax())
        raise ClimateError(
            f"{path}, line {first + 2}, time_utc: {str(written.iloc[first])[:40]!r} is not an ISO 8601 time; write for"
            " example 2020-01-31T07:00Z"
        )
    check_not_negative(path, table, pd.DatetimeIndex(stamps))
    for name in table.columns:
        if name != "flag":
            low, high = POSSIBLE.get(str(name), (-1e9, 1e9))
            number = as_numbers(table[name])
            table[name] = number.where(number.between(low, high))
    table.index = pd.DatetimeIndex(stamps, name="time_utc")
    check_span(path, table.index)
    if table["air_c"].notna().sum() < 24:
        raise ClimateError(f"{path}: fewer than 24 air temperatures; use a file with at least a day of hours")
    odd = table["air_c"][(table["air_c"] < PLAUSIBLE_C[0]) | (table["air_c"] > PLAUSIBLE_C[1])]
    if len(odd):
        raise ClimateError(
            f"{path}, {odd.index[0]:%Y-%m-%d %H:%M}, air_c: {odd.iloc[0]:g} °C is not an air temperature; correct it,"
            " or leave it empty"
        )
    return table
