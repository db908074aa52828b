"""Work spread over processes: a pool that is taken down with its owner, a serial stand-in, shares of equal size."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any

import numpy as np

from thermal.core.arrays import Array

BLOCK_COLUMNS = 4096  # columns: beyond, memory is slower than numpy's calls are dear
MIN_BLOCK_COLUMNS = 192  # columns: a smaller block is not worth handing to another process
CORES = os.cpu_count() or 1
Progress = Callable[
    [Iterable[Any], int], Iterable[Any]
]  # passes results on and shows progress; told how many will come


class SerialExecutor(Executor):
    """An executor that does the work at once in this process: for a study that is one of several side by side."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """The function's value as a future that is already done; its errors are raised at once."""
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def no_progress(results: Iterable[Any], count: int) -> Iterable[Any]:
    """No progress shown."""
    return results


def worker_count(executor: Executor | None) -> int:
    """How many jobs an executor is thought to do at once: one in series, else one a core."""
    return 1 if isinstance(executor, SerialExecutor) else CORES


@contextmanager
def processes() -> Iterator[Executor]:
    """A pool of processes, one a core, taken down when the `with` block ends or breaks off.

    Forked where that is possible: a spawned one would import the caller's script again. Ctrl-C is left to the
    parent, so that the terminal does not fill with the children's tracebacks.

    Yields
    ------
    Executor
    """
    method = "fork" if sys.platform == "linux" else None
    others = set(multiprocessing.active_children())
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", ".*multi-threaded.*fork", DeprecationWarning)  # numpy's threads are idle
        ignore = (signal.SIGINT, signal.SIG_IGN)
        with ProcessPoolExecutor(CORES, multiprocessing.get_context(method), signal.signal, ignore) as pool:
            # This forks them all now: once another thread holds a lock, a fork would keep it for ever.
            pool.submit(os.getpid)
            mine = set(multiprocessing.active_children()) - others
            try:
                yield pool
            except BaseException:
                for child in mine:
                    child.terminate()
                raise


def split_evenly(designs: int, winters: int, at_once: int) -> list[Array]:
    """Indices of designs in shares of about equal size, as many for each worker where that pays.

    Parameters
    ----------
    designs, winters : int
        Of the whole; their product is the number of columns.
    at_once : int
        Workers.

    Returns
    -------
    list of Array of int
        Each of at most `BLOCK_COLUMNS` columns, together all designs in order.
    """
    columns = designs * winters
    count = max(-(-columns // BLOCK_COLUMNS), min(at_once, columns // MIN_BLOCK_COLUMNS), 1)
    if count > at_once:
        count += -count % at_once  # no worker idle at the end
    return np.array_split(np.arange(designs), min(count, designs))
