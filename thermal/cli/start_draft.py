"""The draft of `start`: the answers so far, kept beside the plan until it is written."""

from __future__ import annotations

import json
import tomllib
from contextlib import suppress
from pathlib import Path

LARGEST_BYTES = 1 << 16


def draft_of(file: Path) -> Path:
    """The draft that belongs to a plan file."""
    return file.with_name(file.name + ".draft")


def read_draft(file: Path, known: list[str]) -> dict[str, str]:
    """Answers as written by their keys, and "units"; empty where there is no draft that can be read.

    Parameters
    ----------
    file : Path
        The plan file.
    known : list of str
        Keys that count.
    """
    with suppress(OSError, ValueError):  # decoding errors of text and of TOML are ValueErrors
        raw = draft_of(file).read_bytes()
        if len(raw) <= LARGEST_BYTES:
            words = tomllib.loads(raw.decode("utf-8-sig"))
            return {key: value for key, value in words.items() if key in known and isinstance(value, str)}
    return {}


def write_draft(file: Path, system: str, answers: dict[str, str]) -> None:
    """Keep the answers so far.

    Parameters
    ----------
    file : Path
        The plan file.
    system : str
        The unit system, "metric" or "us".
    answers : dict of str to str
        Answers as written, by key.
    """
    from thermal.core.atomic_write import write_atomically

    rows = {"units": system, **answers}
    lines = [f"{key} = {json.dumps(value)}" for key, value in rows.items()]
    write_atomically(
        draft_of(file), "# Answers so far of overwinter start; it goes on from here.\n" + "\n".join(lines) + "\n"
    )


def delete_draft(file: Path) -> None:
    """Remove the draft, where there is one."""
    with suppress(OSError):
        draft_of(file).unlink(missing_ok=True)
