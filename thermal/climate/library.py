"""Climate files: an hourly CSV with a small TOML header beside it, bundled or one's own."""

from __future__ import annotations

import gzip
import io
import tomllib
import zlib
from dataclasses import fields
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.climate.dataset import Climate, Header, climate_from
from thermal.errors import ClimateError
from thermal.plan import constructions

PLAUSIBLE_C = (-70.0, 60.0)
POSSIBLE = {"rh_pct": (0.0, 100.5), "wind_m_s": (0.0, 120.0)}  # anything beyond counts as missing
LARGEST_BYTES = 50 << 20
LONGEST_YEARS = 100
YEARS = 1700, 2300  # a mistyped one is likelier than a climate from beyond


def folders() -> list[Path]:
    """Where series are looked for: the working directory's `climates` first, then the bundled ones."""
    package = Path(__file__).resolve().parent.parent
    places = (Path("climates"), package / "climates", package.parent / "climates")
    return [place for place in places if place.is_dir()]


def available() -> dict[str, Path]:
    """Every series by name, with its CSV file."""
    found: dict[str, Path] = {}
    for folder in folders():
        for header in sorted(folder.glob("*.toml")):
            csv = header.with_suffix(".csv.gz")
            if csv.exists():
                found.setdefault(header.stem, csv)
    return found


def load_climate(name: str) -> Climate:
    """A named series.

    Raises
    ------
    ClimateError
        When there is none of that name, or its file is broken.
    """
    known = available()
    if name not in known:
        raise ClimateError(f"no climate series is called {name!r}; {constructions.nearest(name, known)}")
    return read_climate(known[name])


def read_climate(path: Path) -> Climate:
    """A series from its CSV file, with the header beside it if there is one.

    Raises
    ------
    ClimateError
        When the file cannot be read, or lacks usable `time_utc` and `air_c` columns.
    """
    return climate_from(_table(path), read_header(path))


def read_header(path: Path) -> Header:
    """The TOML header beside a series' CSV file; a plain one when there is none."""
    stem = path.name.removesuffix(".gz").removesuffix(".csv")
    beside = path.with_name(stem + ".toml")
    if not beside.exists():
        return Header(name=stem, place=str(path), kind="given")
    try:
        words = tomllib.loads(beside.read_text("utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise ClimateError(f"the header {beside} cannot be read: {fault}") from fault
    known = {one.name for one in fields(Header)}
    return Header(**{"name": stem, "place": stem, **{key: value for key, value in words.items() if key in known}})


def decompress(path: Path) -> bytes:
    """A file's bytes, gzipped or not.

    Raises
    ------
    ClimateError
        When it cannot be read, or is too large packed or unpacked.
    """
    too_large = ClimateError(f"{path} is larger than {LARGEST_BYTES >> 20} MiB")
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise too_large
        raw = path.read_bytes()
        if raw[:2] == b"\x1f\x8b":
            with gzip.open(io.BytesIO(raw)) as file:
                raw = file.read(LARGEST_BYTES + 1)
    except (EOFError, gzip.BadGzipFile, zlib.error) as fault:
        raise ClimateError(f"{path} is a broken gzip file") from fault
    except OSError as fault:
        raise ClimateError(f"{path} cannot be read ({fault.strerror or fault})") from fault
    if len(raw) > LARGEST_BYTES:
        raise too_large
    return raw


def check_span(path: Path, times: pd.DatetimeIndex) -> None:
    """See that a file's times span at most `LONGEST_YEARS`, all of them in `YEARS`.

    Raises
    ------
    ClimateError
        When they do not: one mistyped year would ask for millions of hours.
    """
    if times.isna().all():
        return
    ends = times.min(), times.max()
    first, last = (np.datetime_as_string(end.to_datetime64(), "D") for end in ends)  # of years beyond `strftime`'s too
    years = (ends[1] - ends[0]) / pd.Timedelta(days=365.25)
    if years > LONGEST_YEARS:
        raise ClimateError(
            f"{path} spans {years:,.0f} years, from {first} to {last}; at most {LONGEST_YEARS} are taken"
        )
    if not YEARS[0] <= ends[0].year <= ends[1].year <= YEARS[1]:
        raise ClimateError(f"{path} runs from {first} to {last}; years from {YEARS[0]} to {YEARS[1]} are taken")


def _table(path: Path) -> pd.DataFrame:
    try:
        table = pd.read_csv(io.BytesIO(decompress(path)), encoding="utf-8-sig")
    except (ValueError, OverflowError) as fault:  # pandas' parser errors are ValueErrors
        raise ClimateError(f"the climate file {path} cannot be read: {fault}") from fault
    missing = [name for name in ("time_utc", "air_c") if name not in table]
    if missing:
        raise ClimateError(
            f"{path} has no column {' or '.join(missing)} (it has {', '.join(map(str, table.columns[:8]))});"
            " `overwinter climate add` understands other headers and units"
        )
    stamps = pd.to_datetime(table.pop("time_utc"), utc=True, errors="coerce", format="ISO8601")
    if stamps.isna().any():
        first = int(stamps.isna().to_numpy().argmax())
        raise ClimateError(f"{path}, line {first + 2}: time_utc is not an ISO 8601 time")
    for name in table.columns:
        if name != "flag":
            low, high = POSSIBLE.get(str(name), (-1e9, 1e9))
            number = pd.to_numeric(table[name], errors="coerce").astype(float)
            table[name] = number.where(number.between(low, high))
    table.index = pd.DatetimeIndex(stamps, name="time_utc")
    check_span(path, table.index)
    if table["air_c"].notna().sum() < 24:
        raise ClimateError(f"{path} has fewer than 24 air temperatures")
    odd = table["air_c"][(table["air_c"] < PLAUSIBLE_C[0]) | (table["air_c"] > PLAUSIBLE_C[1])]
    if len(odd):
        raise ClimateError(
            f"{path}: air_c = {odd.iloc[0]:g} at {odd.index[0]:%Y-%m-%d %H:%M} is not an air temperature"
        )
    return table
