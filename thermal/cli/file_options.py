"""Options of the commands that read weather files and logs: what the user says about a file, and what was read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from thermal.errors import OverwinterError

if TYPE_CHECKING:
    from thermal.climate.sensor_table import ReadOptions

Dates = Annotated[
    str | None, typer.Option("--dates", metavar="ORDER", help="day-first or month-first, where the file does not tell.")
]
Column = Annotated[
    list[str] | None,
    typer.Option(
        "--column", metavar='ROLE="HEADING"', help='Column to read, for example air="Air outside"; ROLE=none for none.'
    ),
]
Unit = Annotated[
    list[str] | None, typer.Option("--unit", metavar="ROLE=UNIT", help="Unit of a column, for example air=degF.")
]


def read_options(dates: str | None, column: list[str] | None, unit: list[str] | None) -> ReadOptions:
    """What the user says about a file, checked.

    Parameters
    ----------
    dates : str or None
        The order of day and month.
    column, unit : list of str or None
        Columns and units, each as ROLE=VALUE.

    Raises
    ------
    OverwinterError
        When an option is not written as it should be.
    """
    from thermal.climate.sensor_table import ReadOptions

    if dates not in (None, "day-first", "month-first"):
        raise OverwinterError(f"--dates {dates!r} is not an order; write day-first or month-first")
    return ReadOptions(dates, _pairs("--column", column, 'air="Air outside"'), _pairs("--unit", unit, "air=degF"))


def _pairs(option: str, texts: list[str] | None, example: str) -> dict[str, str]:
    """Words given as ROLE=VALUE."""
    pairs = {}
    for text in texts or []:
        role, sign, value = text.partition("=")
        if not sign or not role.strip() or not value.strip():
            raise OverwinterError(f"{option} {text!r} is not understood; write for example {option} {example}")
        pairs[role.strip().lower()] = value.strip().strip("\"'").strip() if option == "--column" else value.strip()
    return pairs
