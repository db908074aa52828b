"""The version that a plan was written for, and whether the figures of its answer have changed since."""

from __future__ import annotations

import re

FIGURES_SINCE = "0.4.0"  # the last version in which figures of answers changed; `start` writes it into a plan
CHANGED = (
    "the heater is sized for a rare cold spell, more heat losses are counted (thermal bridges, plants), heaters to buy"
    " are enough in 9 of 10 samples, and energy and cost are those of complete winters only"
)


def read_version(value: object) -> str:
    """A version such as "0.4.0"; ValueError for any other value."""
    text = str(value).strip()
    if not re.fullmatch(r"\d{1,4}(\.\d{1,4}){1,2}", text):
        raise ValueError(f"{value!r} is not a version; write for example {FIGURES_SINCE!r}")
    return text


def is_older(written_for: str) -> bool:
    """Whether a plan was written for a version with other figures; also where it does not say so."""
    return not written_for or _parts(written_for) < _parts(FIGURES_SINCE)


def _parts(version: str) -> tuple[int, ...]:
    """A version as numbers."""
    return tuple(int(part) for part in (*version.split("."), "0")[:3])
