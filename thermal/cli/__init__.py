"""The command line: commands read options, call the library and print; nothing else prints or ends the program."""

from __future__ import annotations

import gc
import sys
from typing import Annotated

import typer

from thermal.cli.climate_commands import climate_app
from thermal.cli.plain_signs import accept_every_sign
from thermal.cli.plan_commands import check, compare, demo, fit, heater, outage, run, spread
from thermal.cli.start_command import start
from thermal.cli.table_command import map_, table
from thermal.core.ending_signals import unwound_by_signals
from thermal.core.shown_text import printable_lines
from thermal.errors import ClosureError, OverwinterError

COLLECT_AFTER = 100_000  # new objects between garbage collections; Python's own 700 cost 8 % of every command

app = typer.Typer(
    no_args_is_help=True,
    add_completion=True,
    rich_markup_mode=None,  # rich markup makes every `--help` 0.15 s slower
    pretty_exceptions_enable=False,
)
for command in (demo, start, check, run, heater, compare, outage, spread, fit):
    app.command()(command)
app.command()(table)
app.command("map")(map_)
app.add_typer(climate_app, name="climate")


def _print_version(wanted: bool) -> None:
    """Print the version and stop."""
    if wanted:
        from thermal.core.version import installed_version

        typer.echo(f"overwinter {installed_version()}")
        raise typer.Exit


@app.callback()
def overwinter(
    version: Annotated[
        bool, typer.Option("--version", is_eager=True, callback=_print_version, help="Print the version.")
    ] = False,
) -> None:
    """Plan winter heating for fish and plants in recirculating water: heater size, insulation and cost."""


def main() -> None:
    """Run the command line.

    The exit code is 0 for success, 2 for input that cannot be used, 1 for an error of the program, 130 for Ctrl-C, and
    143 or 129 for SIGTERM or SIGHUP.
    """
    gc.set_threshold(COLLECT_AFTER)
    for stream in (sys.stdout, sys.stderr):
        accept_every_sign(stream)
    try:
        with unwound_by_signals():
            app()
    except OverwinterError as fault:
        typer.echo(printable_lines(str(fault)), err=True)
        sys.exit(1 if isinstance(fault, ClosureError) else 2)
    except KeyboardInterrupt:
        sys.exit(130)
