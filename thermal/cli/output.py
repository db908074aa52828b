"""Output of a command: text for people, JSON, and a progress bar."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thermal.errors import OverwinterError

if TYPE_CHECKING:
    from thermal.core.display_units import DisplayUnits
    from thermal.core.parallel import Progress


def _json_file(value: str | None) -> str | None:
    """The value of `--json`; refused before any work where its folder is missing.

    Raises
    ------
    OverwinterError
        When the folder is missing.
    """
    if value and value != "-" and not Path(value).parent.is_dir():
        raise OverwinterError(f"--json {value}: there is no folder {Path(value).parent}; make it, or write to another")
    return value


Json = Annotated[
    str | None,
    typer.Option("--json", metavar="FILE", callback=_json_file, help="Write the answer as JSON to FILE; - prints it."),
]


def unit_system(name: str) -> DisplayUnits:
    """The system of units of a name.

    Raises
    ------
    OverwinterError
        When no system has that name.
    """
    from thermal.core.display_units import UNIT_SYSTEMS
    from thermal.core.suggest import nearest

    if name not in UNIT_SYSTEMS:
        raise OverwinterError(f"--units {name!r} is not a unit system; {nearest(name, UNIT_SYSTEMS)}")
    return UNIT_SYSTEMS[name]


def _unit_name(value: str | None) -> str | None:
    """The value of `--units`; refused before any work where there is no such system."""
    return None if value is None else unit_system(value).name


Units = Annotated[
    str | None, typer.Option("--units", callback=_unit_name, help="Units of the answer: metric, us or imperial.")
]


def progress(what: str) -> Progress:
    """A progress bar on the error stream; nothing is shown where that is not a terminal.

    Parameters
    ----------
    what : str
        Label of the bar.

    Returns
    -------
    Progress
        Takes results and their number, returns the results and shows progress.
    """
    from rich.console import Console
    from rich.progress import track

    console = Console(stderr=True)
    return lambda runs, count: track(runs, what, total=count, console=console, transient=True)


def print_path(label: str, path: Path, json: str | None) -> None:
    """Print where a file was written, and below it the same as a link; on the error stream where JSON is printed.

    Parameters
    ----------
    label : str
        What the file is.
    path : Path
        The file.
    json : str or None
        Value of the option `--json`.
    """
    typer.echo(f"{label}: {path}\n{path.resolve().as_uri()}", err=json == "-")


def show(json: str | None, content: Any, print_for_people: Any) -> None:
    """Print a result for people, or write it as JSON.

    Parameters
    ----------
    json : str or None
        Value of the option `--json`: a file, "-" to print JSON in place of text, or None for text only.
    content : callable
        Takes nothing; returns the result as plain values for JSON.
    print_for_people : callable
        Takes a rich console and prints on it. It is not called for "-".

    Raises
    ------
    OverwinterError
        When the JSON file cannot be written.
    """
    from thermal.cli.plain_signs import PlainConsole, escape_json
    from thermal.core.atomic_write import write_atomically
    from thermal.core.json_values import jsonable, to_json

    if json == "-":
        sys.stdout.write(escape_json(to_json(jsonable(content())), sys.stdout.encoding or "utf-8"))
        return
    if json is not None:
        write_atomically(Path(json), to_json(jsonable(content())))
    print_for_people(PlainConsole(highlight=False, soft_wrap=False))
