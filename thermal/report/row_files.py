"""Files of a table of many plans: CSV and JSON lines grow row by row; workbook, Parquet file and page come at the end.

A row is written as one line with one call, so that a run that is broken off leaves whole lines; a last line without its
end is dropped when the run goes on.
"""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from thermal.analysis.table_row import COLUMNS, TableRow, row_from
from thermal.core.atomic_write import write_atomically
from thermal.core.file_lock import only_one
from thermal.errors import OverwinterError
from thermal.report.csv_text import inert

CSV, JSONL, XLSX, PARQUET, HTML = "csv", "jsonl", "xlsx", "parquet", "html"
MOST_SHEET_ROWS = 1_048_575  # of a workbook's sheet, below its heading
HEADING = ",".join(COLUMNS) + "\n"


@dataclass(frozen=True)
class RowFiles:
    """The files of one table.

    Attributes
    ----------
    paths : mapping of str to Path
        File of each kind asked for: csv, jsonl, xlsx, parquet, html.
    """

    paths: Mapping[str, Path]

    @property
    def growing(self) -> dict[str, Path]:
        """The files that rows are added to: those asked for, or else one beside the first file until that is written.

        Empty where no file is asked for.
        """
        asked = {kind: path for kind, path in self.paths.items() if kind in (CSV, JSONL)}
        if asked or not self.paths:
            return asked
        first = next(iter(self.paths.values()))
        return {JSONL: first.with_name(f"{first.name}.rows.jsonl")}

    def check(self, resume: bool, force: bool) -> None:
        """Refuse files that are there already, unless they are to be gone on with or replaced.

        Raises
        ------
        OverwinterError
            When a file is there, two files have one name, or a folder is missing.
        """
        paths = list(self.paths.values())
        if len({path.resolve() for path in paths}) < len(paths):
            raise OverwinterError("table: two outputs have the same file name")
        for kind, path in self.paths.items():
            if not path.parent.is_dir():
                raise OverwinterError(
                    f"--{kind} {path}: there is no folder {path.parent}; make it, or write to another"
                )
        there = next((path for path in (*paths, *self.growing.values()) if path.exists()), None)
        if there and not resume and not force:
            raise OverwinterError(
                f"{there}: is there already; --resume goes on with its rows, --force begins anew and replaces it"
            )

    @contextmanager
    def held(self, resume: bool, force: bool) -> Iterator[None]:
        """Keep the files from another run of `table`; they are checked before and after.

        Raises
        ------
        OverwinterError
            As `check`, or when another run is writing one of them.
        """
        self.check(resume, force)
        with ExitStack() as locks:
            for path in sorted({file.resolve() for file in self.paths.values()}):
                busy = f"{path.name}: another `overwinter table` is writing it; wait for it, or write to another file"
                locks.enter_context(only_one(path.with_name(f".{path.name}.lock"), busy))
            self.check(resume, force)
            yield

    def rows(self) -> list[TableRow]:
        """Rows that are in the files already; broken lines are left out.

        Raises
        ------
        OverwinterError
            When a file cannot be read or holds something else than rows of a table.
        """
        rows: dict[str, TableRow] = {}
        for kind, path in self.growing.items():
            if path.exists():
                rows |= {row.key: row for row in read_rows(path, kind)}
        return list(rows.values())

    def begin(self, rows: Sequence[TableRow]) -> None:
        """Write the rows that are there already to the growing files, as the only ones.

        Raises
        ------
        OverwinterError
            When a file cannot be written.
        """
        for kind, path in self.growing.items():
            write_atomically(path, _heading(kind) + "".join(map(LINES[kind], rows)))

    def add(self, rows: Sequence[TableRow]) -> None:
        """Add rows to the growing files.

        Raises
        ------
        OverwinterError
            When a file cannot be written.
        """
        for kind, path in self.growing.items():
            lines = "".join(map(LINES[kind], rows)).encode("utf-8")
            try:
                handle = os.open(path, os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0))
                try:
                    os.write(handle, lines)
                    os.fsync(handle)
                finally:
                    os.close(handle)
            except OSError as fault:
                raise OverwinterError(f"{path}: cannot be written ({fault.strerror or fault})") from fault

    def finish(self, rows: Sequence[TableRow], page: Callable[[Sequence[TableRow]], str]) -> None:
        """Write every file with all rows in their order.

        Parameters
        ----------
        rows : sequence of TableRow
            The rows.
        page : callable
            Makes the HTML page of rows.

        Raises
        ------
        OverwinterError
            When a file cannot be written.
        """
        contents: dict[str, Callable[[], bytes | str]] = {
            CSV: lambda: rows_csv(rows),
            JSONL: lambda: "".join(map(_jsonl_line, rows)),
            XLSX: lambda: rows_xlsx(rows),
            PARQUET: lambda: rows_parquet(rows),
            HTML: lambda: page(rows),
        }
        for kind, path in self.paths.items():
            write_atomically(path, contents[kind]())
        for path in set(self.growing.values()) - set(self.paths.values()):
            path.unlink(missing_ok=True)


def rows_csv(rows: Iterable[TableRow]) -> str:
    """Rows as CSV; texts that look like formulas have an apostrophe in front."""
    return HEADING + "".join(map(_csv_line, rows))


def read_rows(path: Path, kind: str, otherwise: str = "give another name, or --force") -> list[TableRow]:
    """The rows of a CSV file or of JSON lines; a last line without its end, and lines that are no row, are left out.

    Parameters
    ----------
    path : Path
        The file.
    kind : str
        `CSV` or `JSONL`.
    otherwise : str
        What to do where it is no table.

    Raises
    ------
    OverwinterError
        When the file cannot be read, or its heading is not that of a table of this version.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig", errors="replace")
    except OSError as fault:
        raise OverwinterError(f"{path}: cannot be read ({fault.strerror or fault})") from fault
    whole = text[: text.rfind("\n") + 1].replace("\r\n", "\n")
    if kind == JSONL:
        cells = [_json_cells(line) for line in whole.splitlines()]
    elif whole and not whole.startswith(HEADING):
        raise OverwinterError(f"{path}: is no table of this version of overwinter; {otherwise}")
    else:
        try:
            lines = list(csv.reader(io.StringIO(whole[len(HEADING) :], newline="")))
        except csv.Error as fault:
            raise OverwinterError(f"{path}: a cell is too long for a table of overwinter; {otherwise}") from fault
        cells = [dict(zip(COLUMNS, line, strict=False)) for line in lines]
    return [row for found_cells in cells if (row := row_from(found_cells)) is not None]


def _json_cells(line: str) -> dict[str, Any]:
    """The cells of a JSON line; none where it is not an object."""
    try:
        cells = json.loads(line)
    except ValueError:
        return {}
    return cells if isinstance(cells, dict) else {}


def _heading(kind: str) -> str:
    """What stands above the rows of a growing file."""
    return HEADING if kind == CSV else ""


def _csv_line(row: TableRow) -> str:
    """One row as a line of CSV."""
    line = io.StringIO()
    csv.writer(line, lineterminator="\n").writerow(safe_cells(row))
    return line.getvalue()


def safe_cells(row: TableRow) -> list[Any]:
    """The cells of a row for a spreadsheet: texts that look like formulas have an apostrophe in front."""
    return [inert(value) if isinstance(value, str) else value for value in asdict(row).values()]


def _jsonl_line(row: TableRow) -> str:
    """One row as a JSON line."""
    return json.dumps(asdict(row), allow_nan=False) + "\n"


LINES = {CSV: _csv_line, JSONL: _jsonl_line}


def rows_xlsx(rows: Sequence[TableRow]) -> bytes:
    """Rows as a workbook with one sheet, its heading fixed and a filter on it.

    Raises
    ------
    OverwinterError
        When openpyxl is missing, or there are more rows than a sheet holds.
    """
    openpyxl = needed_module("openpyxl", XLSX)
    if len(rows) > MOST_SHEET_ROWS:
        raise OverwinterError(f"--xlsx: a sheet holds {MOST_SHEET_ROWS:,} rows; write --csv or --parquet")
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("answers")
    sheet.freeze_panes = "A2"
    sheet.append(COLUMNS)
    for row in rows:
        sheet.append(safe_cells(row))
    sheet.auto_filter.ref = f"A1:{openpyxl.utils.get_column_letter(len(COLUMNS))}{len(rows) + 1}"
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def rows_parquet(rows: Sequence[TableRow]) -> bytes:
    """Rows as a Parquet file.

    Raises
    ------
    OverwinterError
        When pyarrow is missing.
    """
    from thermal.analysis.many_plans import table_of

    needed_module("pyarrow", PARQUET)
    content = io.BytesIO()
    table_of(rows).to_parquet(content, engine="pyarrow", index=False)
    return content.getvalue()


def needed_module(name: str, extra: str) -> Any:
    """A module that one of the extras brings.

    Raises
    ------
    OverwinterError
        When it is not installed.
    """
    from importlib import import_module

    try:
        return import_module(name)
    except ImportError as fault:
        raise OverwinterError(
            f'this needs the package {name}; install it with: python3 -m pip install "overwinter[{extra}]"'
        ) from fault
