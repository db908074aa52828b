"""Bytes and text of a weather file, with limits on size and time."""

from __future__ import annotations

import codecs
import gzip
import io
import re
import stat
import zlib
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.core.table_limits import LONGEST_CELL, check_cell
from thermal.errors import ClimateError

PLAUSIBLE_C = (-70.0, 60.0)
LARGEST_BYTES = 50 << 20  # 50 MiB
LONGEST_YEARS = 60
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
        When it is no regular file, cannot be read, or is larger than 50 MiB packed or unpacked. A folder, a device or a
        pipe is refused before anything is read from it.
    """
    too_large = ClimateError(f"{path}: larger than {LARGEST_BYTES >> 20} MiB; use a shorter file")
    try:
        kind = path.stat()
        if not stat.S_ISREG(kind.st_mode):
            what = "a folder" if stat.S_ISDIR(kind.st_mode) else "a device or a pipe, not a file"
            raise ClimateError(f"{path}: is {what}; give the name of a CSV file")
        if kind.st_size > LARGEST_BYTES:
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
    """Check that the times of a file span at most 60 years, all between 1700 and 2300.

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


MARKS = ((codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"), (codecs.BOM_UTF16_LE, "utf-16"),
         (codecs.BOM_UTF16_BE, "utf-16"))  # fmt: skip
NAMES = {"utf-32": "UTF-32", "utf-16": "UTF-16", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16"}
SAMPLE_BYTES = 4096
NOT_TABLES = {
    b"PK\x03\x04": "a zip archive or a spreadsheet; unpack it, or save the sheet as CSV",
    b"\xd0\xcf\x11\xe0": "a spreadsheet; save it as CSV",
    b"%PDF": "a PDF document; export a CSV file instead",
    b"SQLite format 3": "a database; export a CSV file from it",
    b"BZh": "packed with bzip2; unpack it",
    b"\xfd7zXZ": "packed with xz; unpack it",
}


def decode(path: Path) -> tuple[str, list[str]]:
    """Text of a file, gzipped or not.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    text : str
        Its text, read as UTF-8, as UTF-16 or UTF-32 where its first bytes say so, or else as Windows-1252. Its lines
        end with a line feed.
    notes : list of str
        A note where it is not UTF-8.

    Raises
    ------
    ClimateError
        When it cannot be read, is larger than 50 MiB packed or unpacked, or is not text.
    """
    raw = decompress(path)
    for mark, what in NOT_TABLES.items():
        if raw.startswith(mark):
            raise ClimateError(f"{path}: is {what}")
    encoding, notes = _encoding(raw), []
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError:
        encoding, text = "cp1252", raw.decode("cp1252", "replace")
    if encoding != "utf-8-sig":
        notes = [f"the file is not UTF-8; it is read as {NAMES.get(encoding, 'Windows-1252 (Latin-1)')}"]
    text = text.replace("\r\n", "\n").replace("\r", "\n").removeprefix("\ufeff")
    if "\x00" in text:
        line = text.count("\n", 0, text.index("\x00")) + 1
        raise ClimateError(f"{path}, line {line}: has a character that text has not (NUL); export the file again")
    if len(text) > LONGEST_CELL:
        for number, line_text in enumerate(text.split("\n"), start=1):
            if len(line_text) > LONGEST_CELL:
                check_cell(path, number, max(map(len, re.split("[,;\t|]", line_text))))
    return text, notes


def _encoding(raw: bytes) -> str:
    """Encoding that the first bytes tell: by their mark, or by a zero in every second of them."""
    for mark, name in MARKS:
        if raw.startswith(mark):
            return name
    sample = raw[:SAMPLE_BYTES]
    zeros = [sample[first::2].count(0) for first in (0, 1)]
    if max(zeros) > len(sample) // 4:
        return "utf-16-le" if zeros[1] > zeros[0] else "utf-16-be"
    return "utf-8-sig"
