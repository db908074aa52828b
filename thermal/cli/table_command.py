"""The commands `table`, many plans in many climates, and `map`, a table over latitude and longitude."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thermal.cli.output import Json, Units, print_path, show
from thermal.errors import INTERNAL, OverwinterError

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from thermal.analysis.table_question import Question
    from thermal.analysis.table_row import TableRow
    from thermal.report.row_files import RowFiles

DASK = "dask:"
CONNECT_S = 10  # to wait for a scheduler


def table(
    plans: Annotated[
        list[str], typer.Argument(metavar="PLAN...", help="Plan files, folders, globs, or names of ready plans.")
    ],
    climate: Annotated[
        list[str] | None,
        typer.Option(
            "--climate",
            metavar="NAME",
            help="Weather file: a name, a CSV file, a folder or a glob; repeat it for more. [default: each plan's own]",
        ),
    ] = None,
    set_: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="KEY=VALUE,VALUE", help="Values to try for a key of the plan; repeatable."),
    ] = None,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="Write the rows as CSV.")] = None,
    jsonl: Annotated[Path | None, typer.Option("--jsonl", metavar="FILE", help="Write them as JSON lines.")] = None,
    xlsx: Annotated[
        Path | None, typer.Option("--xlsx", metavar="FILE", help="Write them as a workbook (extra xlsx).")
    ] = None,
    parquet: Annotated[
        Path | None, typer.Option("--parquet", metavar="FILE", help="Write them as Parquet (extra parquet).")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Write a page with a table to sort, and charts.")
    ] = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on with the rows in the files; only what is missing is worked out.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Begin anew and replace the files.")] = False,
    samples: Annotated[
        int | None,
        typer.Option("--samples", min=0, max=20000, help="Number of random samples a plan; 0 for none. [default: 20]"),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of the random samples.")] = 0,
    executor: Annotated[
        str | None,
        typer.Option("--executor", metavar="dask:ADDRESS", help="A dask cluster's scheduler (extra cluster)."),
    ] = None,
    json: Json = None,
    units: Units = None,
) -> None:
    """Answer many plans in many climates: one row for each."""
    from thermal.analysis.table_question import SAMPLES, Question, climate_names, plan_texts, sweeps
    from thermal.report.row_files import RowFiles

    if resume and force:
        raise OverwinterError("table: write either --resume or --force")
    if samples is not None and 0 < samples < LEAST_SAMPLES:
        raise OverwinterError(f"--samples {samples}: write 0, or at least {LEAST_SAMPLES}")
    given = {"csv": csv, "jsonl": jsonl, "xlsx": xlsx, "parquet": parquet, "html": html}
    files = RowFiles({kind: path for kind, path in given.items() if path is not None})
    with files.held(resume, force):
        question = Question(
            plan_texts(plans),
            climate_names(climate or ()),
            sweeps(sweep_values(set_ or ())),
            SAMPLES if samples is None else samples,
            seed,
        )
        with executor_at(executor) as chosen:
            rows = _answer(question, files, resume, chosen)
        _report(rows, files, question.samples, json, units or "metric")
    if code := exit_code(rows):
        raise typer.Exit(code)


LEAST_SAMPLES = 20  # as for every command; fewer say nothing of 5 %


def exit_code(rows: Iterable[TableRow]) -> int:
    """The exit code of finished rows: 0 where each has an answer, 1 after a fault of the program, 2 of a plan."""
    faults = [row.fault for row in rows if row.fault]
    return 1 if any(fault.startswith(INTERNAL) for fault in faults) else 2 if faults else 0


def sweep_values(options: Iterable[str]) -> dict[str, Sequence[object]]:
    """Values by key from texts such as "room.air_changes=tight,ordinary".

    A comma inside quotes or brackets belongs to a value.

    Raises
    ------
    OverwinterError
        When a text has no key or no value, or a key comes twice.
    """
    values: dict[str, Sequence[object]] = {}
    for option in options:
        key, sign, text = option.partition("=")
        parts = [part.strip() for part in split_values(text)]
        if not sign or not key.strip() or not all(parts):
            raise OverwinterError(
                f"--set {option!r}: write a key of the plan and its values, as room.air_changes=tight,ordinary"
            )
        if key.strip() in values:
            raise OverwinterError(f"--set {key.strip()}: is given twice; write all its values in one, with commas")
        values[key.strip()] = list(dict.fromkeys(parts))
    return values


def split_values(text: str) -> list[str]:
    """Parts of a text between commas that are not inside quotes or brackets."""
    parts, depth, quote = [""], 0, ""
    for sign in text:
        if quote:
            quote = "" if sign == quote else quote
        elif sign in "\"'":
            quote = sign
        else:
            depth += (sign in "[{(") - (sign in "]})")
        if sign == "," and not quote and depth <= 0:
            parts.append("")
        else:
            parts[-1] += sign
    return parts


def _answer(question: Question, files: RowFiles, resume: bool, executor: Executor) -> list[TableRow]:
    """All rows in order; they are written to the growing files as they finish."""
    from thermal.analysis.many_plans import answer_rows

    order = list(dict.fromkeys(question.row_keys()))
    wanted, kept = set(order), files.rows() if resume else []
    rows = {row.key: row for row in kept if row.key in wanted}
    if others := len(kept) - len(rows):
        typer.echo(f"{count_text(others)} of other plans, weather files or settings: left out.", err=True)
    files.begin(list(rows.values()))
    missing = len(order) - len(rows)
    began = time.monotonic()
    try:
        for batch in show_rate(answer_rows(question.units(set(rows)), executor), missing):
            files.add(batch)
            rows |= {row.key: row for row in batch}
    except KeyboardInterrupt:
        names = " and ".join(str(path) for path in files.growing.values())
        kept_words = f" {len(rows):,} of {len(order):,} rows are in {names}; --resume goes on." if names else ""
        typer.echo(f"Stopped.{kept_words}", err=True)
        raise
    if missing:
        spent = time.monotonic() - began
        typer.echo(f"{count_text(missing)} in {spent:,.0f} s ({spent / missing:.2f} s a row).", err=True)
    return [rows[key] for key in order]


def count_text(rows: int) -> str:
    """A number of rows in words."""
    return f"{rows:,} {'row' if rows == 1 else 'rows'}"


def show_rate(batches: Iterable[Sequence[Any]], total: int) -> Iterator[Sequence[Any]]:
    """Batches of rows with a progress bar on the error stream: rows done, rate, and time left.

    Parameters
    ----------
    batches : iterable of sequence
        Rows as they finish.
    total : int
        How many there will be.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("rows"), BarColumn(), MofNCompleteColumn(), TextColumn("{task.fields[rate]}"),
        TimeRemainingColumn(compact=True), TextColumn("left"),
    )  # fmt: skip
    began, done = time.monotonic(), 0
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("rows", total=total, rate="")
        for batch in batches:
            yield batch
            done += len(batch)
            rate = done / max(time.monotonic() - began, 1e-9)
            bar.update(task, completed=done, rate=f"{rate:.1f} a second" if rate >= 1 else f"{1 / rate:.1f} s a row")


def _report(rows: list[TableRow], files: RowFiles, samples: int, json: str | None, units: str) -> None:
    """Write the finished files, and print the rows."""
    from dataclasses import asdict

    from thermal.report import terminal_tables
    from thermal.report.answer_table import SHOWN_IN_TERMINAL, bands_sentence, fault_lines, terminal_rows
    from thermal.report.table_page import table_page

    files.finish(rows, lambda all_rows: table_page(all_rows, units))

    def print_rows(console: Any) -> None:
        console.print(terminal_tables.rows(terminal_rows(rows)))
        if len(rows) > SHOWN_IN_TERMINAL:
            typer.echo(f"The first {SHOWN_IN_TERMINAL} of {len(rows):,} rows; write --csv FILE or --html FILE for all.")
        typer.echo(bands_sentence(samples))

    show(json, lambda: {"samples": samples, "rows": [asdict(row) for row in rows]}, print_rows)
    for kind, path in files.paths.items():
        print_path({"html": "Page"}.get(kind, kind.upper()), path, json)
    for line in fault_lines(rows):
        typer.echo(f"! {line}", err=True)


@contextmanager
def executor_at(address: str | None) -> Iterator[Executor]:
    """The executor of an address such as "dask:tcp://host:8786"; processes of this computer without an address.

    Yields
    ------
    Executor
        The executor.

    Raises
    ------
    OverwinterError
        When the address is of no known kind, dask is not installed, the cluster does not answer, or its workers have
        another version of overwinter.
    """
    if address is None:
        from thermal.core.parallel import processes

        with processes() as pool:
            yield pool
        return
    if not address.startswith(DASK):
        raise OverwinterError(f"--executor {address!r}: write dask: and the scheduler's address, dask:tcp://host:8786")
    from thermal.core.version import installed_version
    from thermal.report.row_files import needed_module

    distributed = needed_module("distributed", "cluster")
    try:
        client = distributed.Client(address.removeprefix(DASK), timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError, TypeError) as fault:
        raise OverwinterError(f"--executor {address}: the scheduler does not answer ({fault})") from fault
    try:
        try:
            versions = set(client.run(installed_version).values()) - {installed_version()}
        except ImportError as fault:
            raise OverwinterError(f"--executor {address}: a worker has no overwinter; install it there") from fault
        if versions:
            raise OverwinterError(f"--executor {address}: a worker has overwinter {versions.pop()}; install the same")
        yield client.get_executor(pure=False, retries=3)
    finally:
        client.close()


def map_(
    table_file: Annotated[Path, typer.Argument(metavar="TABLE", help="CSV or JSON lines of `overwinter table`.")],
    value: Annotated[str, typer.Option("--value", help="Column to show.")] = "heater_needed_w",
    plan: Annotated[
        list[str] | None, typer.Option("--plan", metavar="NAME", help="Only this plan; repeatable.")
    ] = None,
    setting: Annotated[
        list[str] | None, typer.Option("--setting", metavar="KEY=VALUE", help="Only this setting; repeatable.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="File for the picture. [default: TABLE-VALUE.png]")
    ] = None,
) -> None:
    """Show a column of a table over latitude and longitude."""
    from thermal.core.atomic_write import write_atomically
    from thermal.core.suggest import nearest
    from thermal.report.charts import png
    from thermal.report.map_chart import map_figure
    from thermal.report.row_files import CSV, JSONL, read_rows

    kind = {".csv": CSV, ".jsonl": JSONL}.get(table_file.suffix)
    if kind is None:
        raise OverwinterError(f"{table_file}: give the CSV file or the JSON lines (.jsonl) of `overwinter table`")
    rows = read_rows(table_file, kind, "make one with overwinter table PLAN --csv FILE")
    if not rows:
        raise OverwinterError(f"{table_file}: has no row that can be read")
    for option, wanted, column in (("--plan", plan, "plan"), ("--setting", setting, "setting")):
        known = {getattr(row, column) for row in rows}
        if missing := next((name for name in wanted or () if name not in known), None):
            raise OverwinterError(f"{option} {missing!r}: is not in the table; {nearest(missing, sorted(known))}")
        rows = [row for row in rows if not wanted or getattr(row, column) in wanted]
    path = out or table_file.with_name(f"{table_file.stem}-{value}.png")
    print_path("Map", write_atomically(path, png(map_figure(rows, value))), None)
