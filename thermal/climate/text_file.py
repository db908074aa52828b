"""Bytes and text of a weather file, with limits on size and time."""

from __future__ import annotations

import gzip
import io
import zlib
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.errors import ClimateError

PLAUSIBLE_C = (-70.0, 60.0)
LARGEST_BYTES = 50 << 20  # 50 MiB
LONGEST_YEARS = 100
YEARS = 1700, 2300  # a year outside is taken for a typing error


def decompress(path: Path) -> bytes:
    """Bytes of a file, gzipped or not.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bytes
        Its content, unpacked.

    Raises
    ------
    ClimateError
        When it cannot be read, or is larger than 50 MiB packed or unpacked.
    """
    too_large = ClimateError(f"{path}: larger than {LARGEST_BYTES >> 20} MiB; use a shorter file")
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise too_large
        raw = path.read_bytes()
        if raw[:2] == b"\x1f\x8b":
            with gzip.open(io.BytesIO(raw)) as file:
                raw = file.read(LARGEST_BYTES + 1)
    except (EOFError, gzip.BadGzipFile, zlib.error) as fault:
        raise ClimateError(f"{path}: broken gzip file; copy or download it again") from fault
    except OSError as fault:
        raise ClimateError(f"{path}: cannot be read ({fault.strerror or fault})") from fault
    if len(raw) > LARGEST_BYTES:
        raise too_large
    return raw


def check_span(path: Path, times: pd.DatetimeIndex) -> None:
    """Check that the times of a file span at most 100 years, all between 1700 and 2300.

    Parameters
    ----------
    path : Path
        The file, for the message.
    times : DatetimeIndex
        Its times, in any order; NaT is ignored.

    Raises
    ------
    ClimateError
        When they do not: one mistyped year would ask for millions of hours.
    """
    if times.isna().all():
        return
    ends = times.min(), times.max()
    first, last = (
        np.datetime_as_string(end.to_datetime64(), "D") for end in ends
    )  # also for years that `strftime` does not take
    years = (ends[1] - ends[0]) / pd.Timedelta(days=365.25)
    if years > LONGEST_YEARS:
        raise ClimateError(
            f"{path}: spans {years:,.0f} years, from {first} to {last}; at most {LONGEST_YEARS} are allowed, so"
            " correct the years"
        )
    if not YEARS[0] <= ends[0].year <= ends[1].year <= YEARS[1]:
        raise ClimateError(f"{path}: runs from {first} to {last}; write years between {YEARS[0]} and {YEARS[1]}")


def decode(path: Path) -> tuple[str, list[str]]:
    """Text of a file, gzipped or not.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    text : str
        Its text, read as UTF-8 or else as Latin-1.
    notes : list of str
        A note where it is not UTF-8.

    Raises
    ------
    ClimateError
        When it cannot be read, or is larger than 50 MiB packed or unpacked.
    """
    raw = decompress(path)
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        return raw.decode("latin-1"), ["the file is not UTF-8; it is read as Latin-1"]
