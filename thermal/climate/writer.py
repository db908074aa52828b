"""Weather files written into a folder: complete or not at all, under a name that cannot leave the folder."""

from __future__ import annotations

import gzip
import json
import re
from dataclasses import asdict
from pathlib import Path

import pandas as pd

from thermal.climate.dataset import Header
from thermal.core.atomic_write import write_all_atomically
from thermal.errors import ClimateError

NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")


def check_name(name: str) -> str:
    """Check the name of a weather file: lower-case letters, digits and hyphens, at most 60.

    Parameters
    ----------
    name : str
        The name.

    Returns
    -------
    str
        The same name.

    Raises
    ------
    ClimateError
        For anything else, such as a path.
    """
    if not NAME.fullmatch(name):
        raise ClimateError(f"{name!r} is not a name for a weather file; use lower-case letters, digits and hyphens")
    return name


def write_dataset(folder: Path, header: Header, hours: pd.DataFrame) -> Path:
    """Write the CSV and the TOML header of a weather file.

    The header is written last, so that an interrupted file is not listed.

    Parameters
    ----------
    folder : Path
        Folder to write to.
    header : Header
        Where the data comes from; its name gives the files their names.
    hours : DataFrame
        Index in UTC; columns air_c [degC] and, optionally, rh_pct [%] and wind_m_s [m/s].

    Returns
    -------
    Path
        The CSV file.

    Raises
    ------
    ClimateError
        When the name is not allowed.
    OverwinterError
        When a file cannot be written.
    """
    check_name(header.name)
    lines = [
        f"{key} = {_toml(value)}"
        for key, value in asdict(header).items()
        if value not in (None, "") and key != "name" and value is not True
    ]
    csv, about = (folder / f"{header.name}{ending}" for ending in (".csv.gz", ".toml"))
    write_all_atomically({about: "\n".join(lines) + "\n", csv: compress(hours)})
    return csv


def compress(hours: pd.DataFrame) -> bytes:
    """Hours with a UTC index as a gzipped CSV; the same hours always give the same bytes."""
    table = hours.round(3)
    table.index = pd.DatetimeIndex(table.index).strftime("%Y-%m-%dT%H:%MZ")
    return gzip.compress(table.to_csv(index_label="time_utc").encode("utf-8"), mtime=0)


def _toml(value: object) -> str:
    """A value as TOML. JSON and TOML write strings alike."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str | bool) else repr(value)
