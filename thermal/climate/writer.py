"""Series written into the climates folder: whole or not at all, under a name that cannot leave the folder."""

from __future__ import annotations

import gzip
import json
import re
from dataclasses import asdict
from pathlib import Path

import pandas as pd

from thermal.climate.dataset import Header
from thermal.core.atomic_write import write_atomically
from thermal.errors import ClimateError

NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")


def check_name(name: str) -> str:
    """A name for a series: lower-case letters, digits and hyphens.

    Raises
    ------
    ClimateError
        For anything else, such as a path.
    """
    if not NAME.fullmatch(name):
        raise ClimateError(f"{name!r} is not a name for a weather file; use lower-case letters, digits and hyphens")
    return name


def write_dataset(folder: Path, header: Header, hours: pd.DataFrame) -> Path:
    """Write a series' CSV and header; the CSV's path is returned.

    The header comes last, so that a series cut off on the way is not listed.
    """
    check_name(header.name)
    csv = write_atomically(folder / f"{header.name}.csv.gz", compress(hours))
    lines = [
        f"{key} = {_toml(value)}" for key, value in asdict(header).items() if value not in (None, "") and key != "name"
    ]
    write_atomically(folder / f"{header.name}.toml", "\n".join(lines) + "\n")
    return csv


def compress(hours: pd.DataFrame) -> bytes:
    """Hours as a gzipped CSV, the same bytes for the same hours."""
    table = hours.round(3)
    table.index = pd.DatetimeIndex(table.index).strftime("%Y-%m-%dT%H:%MZ")
    return gzip.compress(table.to_csv(index_label="time_utc").encode("utf-8"), mtime=0)


def _toml(value: object) -> str:
    """A TOML value; JSON's strings are TOML's."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)
