"""Work on several processes: a pool that ends with its owner, a serial executor, and work split into equal parts."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.connection import wait
from typing import Any

import numpy as np

from thermal.core.arrays import Array
from thermal.core.ending_signals import end_at_once
from thermal.errors import OverwinterError

BLOCK_COLUMNS = 8192  # columns; a column costs 0.78 of one in blocks of 4,096, and no less in larger ones
MIN_BLOCK_COLUMNS = 192  # columns; a smaller block gains nothing on another process
START_METHOD = "fork" if sys.platform == "linux" else None  # None: the system's usual one
BROKEN = (
    "The worker processes have ended early. On Windows and macOS a script that asks for them needs the line if __name__"
    ' == "__main__": before its work. Or leave out executor, and all is simulated in one process.'
)
CORES = os.cpu_count() or 1
Progress = Callable[
    [Iterable[Any], int], Iterable[Any]
]  # takes results and their number, returns the results and shows progress


class SerialExecutor(Executor):
    """An executor that works at once in this process, for a task that itself runs in a pool."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Call a function now.

        Parameters
        ----------
        fn : callable
            The function. An exception that it raises is not caught.
        *args, **kwargs
            Its arguments.

        Returns
        -------
        Future
            A finished future that holds the function's result.
        """
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def no_progress(results: Iterable[Any], count: int) -> Iterable[Any]:
    """The results as they are: a `Progress` that shows nothing.

    Parameters
    ----------
    results : iterable
        Results as they arrive.
    count : int
        How many there will be; not used.

    Returns
    -------
    iterable
        `results`.
    """
    return results


def worker_count(executor: Executor | None) -> int:
    """Number of tasks an executor does at once: 1 without one or in a `SerialExecutor`, otherwise one for each core."""
    return 1 if executor is None or isinstance(executor, SerialExecutor) else CORES


@contextmanager
def processes() -> Iterator[Executor]:
    """A pool of processes, one for each core, that ends with the `with` block.

    On Linux the processes are forked. On Windows and macOS they are spawned: each imports the caller's script again,
    which must therefore start its work under `if __name__ == "__main__":`. They ignore Ctrl-C, so that only the parent
    reports it, and they end by themselves when the parent has ended, however it ended.

    Yields
    ------
    Executor
        The pool. When the block ends by an exception, its processes are terminated.

    Raises
    ------
    OverwinterError
        When the processes ended before their work was done, as spawned ones do in a script without that line.
    """
    others = set(multiprocessing.active_children())
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", ".*multi-threaded.*fork", DeprecationWarning)  # numpy's threads are idle here
        with ProcessPoolExecutor(CORES, multiprocessing.get_context(START_METHOD), _begin_worker) as pool:
            try:
                # Fork every process now: one forked later could inherit a lock that another thread holds. A signal may
                # come between the forks and the thread that would end them.
                pool.submit(os.getpid)
                yield pool
            except BrokenProcessPool as fault:
                raise OverwinterError(BROKEN) from fault
            except BaseException:
                for child in set(multiprocessing.active_children()) - others:
                    child.terminate()
                raise


def _begin_worker() -> None:
    """Prepare a worker: Ctrl-C is the parent's, other signals end it at once, and it watches its parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_at_once()  # a forked worker has inherited what its parent does on a signal
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Wait until the parent has ended, then end this process.

    Python gives each worker one end of a pipe, or on Windows a handle, that tells of its parent's end. Forked workers
    hold the pipes of those forked before them, so that they end one after the other, within milliseconds.
    """
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def split_evenly(designs: int, winters: int, at_once: int, most_columns: int = BLOCK_COLUMNS) -> list[Array]:
    """Indices of designs in parts of about equal size for several workers.

    Parameters
    ----------
    designs, winters : int
        Number of each; their product is the number of columns to simulate.
    at_once : int
        Number of workers.
    most_columns : int
        Columns of a part at most.

    Returns
    -------
    list of Array of int
        Parts of the designs; together they hold every design once, in order.
    """
    columns = designs * winters
    count = max(-(-columns // most_columns), min(at_once, columns // MIN_BLOCK_COLUMNS), 1)
    if count > at_once:
        count += -count % at_once  # a multiple of the workers, so that none is idle at the end
    return np.array_split(np.arange(designs), min(count, designs))
