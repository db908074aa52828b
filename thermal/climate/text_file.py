"""A weather file's bytes and text, within bounds of size and time."""

from __future__ import annotations

import gzip
import io
import zlib
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.errors import ClimateError

PLAUSIBLE_C = (-70.0, 60.0)
LARGEST_BYTES = 50 << 20
LONGEST_YEARS = 100
YEARS = 1700, 2300  # a mistyped one is likelier than a climate from beyond


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


def decode(path: Path) -> tuple[str, list[str]]:
    """A file's text, gzipped or not, and what was said about its letters.

    Raises
    ------
    ClimateError
        When it cannot be read or is too large.
    """
    raw = decompress(path)
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        return raw.decode("latin-1"), ["the file is not UTF-8; read as Latin-1"]
