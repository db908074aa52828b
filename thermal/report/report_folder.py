"""The folder of a plan's report: named by plan file and weather, and never one with the report of another plan."""

from __future__ import annotations

import os
import re
import unicodedata
from itertools import count
from pathlib import Path

from thermal.core.atomic_write import write_atomically
from thermal.plan.example_plans import example_path

MARK = "made-from.txt"  # file in the folder that says of which plan and weather it is the report
LONGEST_BYTES = 100  # of each half of the name: file systems allow 255, and the number comes after it


def report_folder(reports: Path, plan_path: Path, weather: str) -> Path:
    """The folder for the report of a plan, made where it is missing.

    Parameters
    ----------
    reports : Path
        Folder of all reports.
    plan_path : Path
        The plan file.
    weather : str
        Name of the weather file, or its path.

    Returns
    -------
    Path
        For example reports/garage-springfield-il; with -2, -3 and so on after it where that holds the report of another
        plan, or files that are no report.

    Raises
    ------
    OverwinterError
        When the folder cannot be written.
    """
    weather_file = re.split(r"[\\/]", weather)[-1]
    name = f"{folder_name(plan_path.stem)}-{folder_name(weather_file.split('.')[0])}"
    for number in count(1):
        folder = reports / (name if number == 1 else f"{name}-{number}")
        mark = f"Report of {_plan_name(plan_path, folder)}, weather {weather}.\n"
        if _is_free(folder, mark):
            write_atomically(folder / MARK, mark)
            return folder
    raise AssertionError("unreachable")


def folder_name(text: str) -> str:
    """Name of a folder from a text in any script: lower-case letters, digits and hyphens; "plan" where none is left."""
    words = re.sub(r"[\W_]+", "-", unicodedata.normalize("NFC", text).lower()).strip("-")
    return words.encode("utf-8", "ignore")[:LONGEST_BYTES].decode("utf-8", "ignore").strip("-") or "plan"


def _plan_name(plan_path: Path, folder: Path) -> str:
    """The plan file as the folder's mark names it: seen from the folder, so that both can be moved together."""
    resolved = plan_path.resolve()
    if resolved == example_path(plan_path.stem).resolve():
        return f"the ready plan {plan_path.stem}"
    try:
        return Path(os.path.relpath(resolved, folder.resolve())).as_posix()
    except ValueError:  # on another disk
        return resolved.as_posix()


def _is_free(folder: Path, mark: str) -> bool:
    """Whether a folder is missing, empty, or holds the report with this mark."""
    try:
        return (folder / MARK).read_text("utf-8") == mark
    except (OSError, UnicodeDecodeError):
        return not folder.exists() or (folder.is_dir() and not any(folder.iterdir()))
