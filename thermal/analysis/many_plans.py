"""Many plans in many climates with many settings: one row for each, answered in batches of one network shape.

Plans, climates and settings become units of work, lazily and climate by climate. A unit is answered by a function of
plain values, so that any executor can take it: processes of this computer, or a cluster.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from pathlib import Path

import pandas as pd

from thermal.analysis.table_question import SAMPLES, Question, climate_names, plan_texts, sweeps
from thermal.analysis.table_row import COLUMNS, COUNTS, TEXTS, TableRow
from thermal.analysis.work_unit import WorkUnit, answer_unit
from thermal.core.parallel import SerialExecutor
from thermal.errors import OverwinterError

IN_FLIGHT = 64  # units that wait at an executor


def answers(
    plans: Iterable[Path | str],
    climates: Iterable[Path | str] = (),
    settings: Mapping[str, Sequence[object]] | None = None,
    executor: Executor | None = None,
    *,
    samples: int = SAMPLES,
    seed: int = 0,
) -> pd.DataFrame:
    """A table of every plan in every climate with every combination of settings.

    Parameters
    ----------
    plans : iterable of Path or str
        Plan files, folders, globs, names of ready plans, or texts of plans.
    climates : iterable of Path or str
        Names of weather files, CSV files, folders or globs; without any, each plan is answered in its own.
    settings : mapping of str to sequence of object, optional
        Values by key of the plan file, such as {"room.air_changes": ["tight", "ordinary"]}.
    executor : Executor, optional
        Where rows are worked out: any executor of `concurrent.futures`, as `thermal.processes()` gives one, or one of a
        cluster; without one, this process.
    samples : int
        Random samples of each plan, which bands and heaters to buy rest on; 0 for none.
    seed : int
        Seed of the samples.

    Returns
    -------
    DataFrame
        One row each, plans first, then settings, then climates; columns as in `TableRow`. A plan with a fault has a row
        with its fault and no figures.

    Raises
    ------
    OverwinterError
        When there is no such plan or weather file.
    """
    question = Question(plan_texts(plans), climate_names(climates), sweeps(settings or {}), samples, seed)
    rows = {row.key: row for batch in answer_rows(question.units(), executor) for row in batch}
    return table_of([rows[key] for key in question.row_keys()])


def table_of(rows: Sequence[TableRow]) -> pd.DataFrame:
    """Rows as a table, texts as text, counts as whole numbers, figures that are missing as NaN."""
    columns = {
        name: pd.array(
            [getattr(row, name) for row in rows],
            dtype="str" if name in TEXTS else "Int64" if name in COUNTS else "float64",
        )
        for name in COLUMNS
    }
    return pd.DataFrame(columns)


def answer_rows(units: Iterable[WorkUnit], executor: Executor | None = None) -> Iterator[tuple[TableRow, ...]]:
    """The rows of units as they finish, in any order.

    Parameters
    ----------
    units : iterable of WorkUnit
        The units; they are made as they are needed.
    executor : Executor, optional
        Where they are answered; without one, this process.

    Raises
    ------
    OverwinterError
        When a process of the executor has ended.
    """
    waiting: set[Future[tuple[TableRow, ...]]] = set()
    try:
        yield from _collect(units, executor or SerialExecutor(), waiting)
    finally:
        # A pool of processes that is terminated, as by Ctrl-C, must not find its work cancelled: its thread would fail.
        for future in () if isinstance(executor, ProcessPoolExecutor) else waiting:
            future.cancel()


def _collect(
    units: Iterable[WorkUnit], executor: Executor, waiting: set[Future[tuple[TableRow, ...]]]
) -> Iterator[tuple[TableRow, ...]]:
    """The rows of units from an executor, with some units `waiting` there at any time."""
    at_once = 1 if isinstance(executor, SerialExecutor) else IN_FLIGHT
    try:
        for unit in units:
            waiting.add(executor.submit(answer_unit, unit))
            while len(waiting) >= at_once:
                yield from _next_rows(waiting)
        while waiting:
            yield from _next_rows(waiting)
    except BrokenExecutor as fault:
        raise OverwinterError("a process that worked out rows has ended; there may be too little memory") from fault


def _next_rows(waiting: set[Future[tuple[TableRow, ...]]]) -> list[tuple[TableRow, ...]]:
    """Wait for the next units, and take them out of those waiting."""
    finished = wait(waiting, return_when=FIRST_COMPLETED).done
    waiting -= finished
    return [future.result() for future in finished]
