"""How a command shows its answer: for people, as JSON, and as progress."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from thermal.core.parallel import Progress

Json = Annotated[
    str | None, typer.Option("--json", metavar="FILE", help="Write the answer as JSON to FILE; - prints it.")
]


def progress(what: str) -> Progress:
    """A progress bar over the blocks of a study, on the error stream; nothing where that is not a terminal."""
    from rich.console import Console
    from rich.progress import track

    console = Console(stderr=True)
    return lambda runs, count: track(runs, what, total=count, console=console, transient=True)


def show(json: str | None, content: Any, print_for_people: Any) -> None:
    """Print for people, or write JSON to a file or the terminal."""
    from rich.console import Console

    from thermal.core.atomic_write import write_atomically
    from thermal.report.json_csv import jsonable, to_json

    if json == "-":
        sys.stdout.write(to_json(jsonable(content())))
        return
    if json is not None:
        write_atomically(Path(json), to_json(jsonable(content())))
    print_for_people(Console(highlight=False, soft_wrap=False))
