"""Many designs: marched in blocks that fit the cache, spread over an executor, joined again.

A block is a plain function of plain arrays, so any `concurrent.futures.Executor` can take it, a cluster's too.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from thermal.core.arrays import Array
from thermal.network.model import Control, Forcing, Network
from thermal.solver.simulate import NOTHING, SimulationResult, simulate
from thermal.solver.summary_output import OutputRequest

BLOCK_COLUMNS = 4096  # columns: beyond, memory is slower than numpy's calls are dear
MIN_BLOCK_COLUMNS = 192  # columns: a smaller block is not worth handing to another process
CORES = os.cpu_count() or 1
Progress = Callable[
    [Iterable[Any], int], Iterable[Any]
]  # passes results on and shows progress; told how many will come


@dataclass(frozen=True)
class Block:
    """Some designs of a study, whole winters each."""

    network: Network
    forcing: Forcing
    control: Control
    floor_c: Array
    start_c: Array | None
    request: OutputRequest


class SerialExecutor(Executor):
    """Work done at once in this process: for a study that is itself one of several side by side."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """What the function gives, as a future that is already done; its errors are raised at once."""
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def no_progress(results: Iterable[Any], count: int) -> Iterable[Any]:
    """No progress shown."""
    return results


def worker_count(executor: Executor | None) -> int:
    """How many blocks an executor is thought to march at once."""
    return 1 if isinstance(executor, SerialExecutor) else CORES


@contextmanager
def processes() -> Iterator[Executor]:
    """A pool of processes, one a core; whoever breaks off takes them down.

    Forked where that is possible: a spawned one would import the caller's script again. Ctrl-C is the parent's to
    answer, so that the terminal does not fill with the children's last words.
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


def simulate_parallel(
    network: Network,
    forcing: Forcing,
    control: Control,
    floor_c: Array | float,
    *,
    start_c: Array | None = None,
    request: OutputRequest = NOTHING,
    executor: Executor | None = None,
    progress: Progress = no_progress,
) -> SimulationResult:
    """March every design through every winter, block by block.

    Parameters
    ----------
    network, drive, control, floor_c, start_c, watch
        As in `simulate`, which gives the same figures.
    executor : Executor, optional
        Where blocks are marched; without one, processes of this machine when there is more than one block.
    steps : callable
        Wraps the blocks' runs as they come, for a progress bar.

    Returns
    -------
    Run
        Without a trace.
    """
    blocks = _blocks(network, forcing, control, floor_c, start_c, request, worker_count(executor))
    if len(blocks) == 1:
        return join_results(list(progress(map(_simulate_block, blocks), 1)))
    if executor is not None:
        return join_results(list(progress(executor.map(_simulate_block, blocks), len(blocks))))
    with processes() as pool:
        return join_results(list(progress(pool.map(_simulate_block, blocks), len(blocks))))


def _simulate_block(block: Block) -> SimulationResult:
    return simulate(
        block.network, block.forcing, block.control, block.floor_c, start_c=block.start_c, request=block.request
    )


def _blocks(
    network: Network,
    forcing: Forcing,
    control: Control,
    floor_c: Array | float,
    start_c: Array | None,
    request: OutputRequest,
    at_once: int,
) -> list[Block]:
    """The designs in blocks of about equal size, at least one for each worker where that pays."""
    designs = network.designs
    floor = np.broadcast_to(np.asarray(floor_c, dtype=float), (designs,))
    return [
        Block(
            network.take(index),
            forcing,
            control.take(index),
            floor[index],
            None if start_c is None else start_c[:, index],
            request,
        )
        for index in split_evenly(designs, len(forcing.end_h), at_once)
    ]


def split_evenly(designs: int, winters: int, at_once: int) -> list[Array]:
    """Indices of designs in shares of about equal size that fit the cache, as many for each worker where that pays."""
    columns = designs * winters
    count = max(-(-columns // BLOCK_COLUMNS), min(at_once, columns // MIN_BLOCK_COLUMNS), 1)
    if count > at_once:
        count += -count % at_once  # no worker idle at the end
    return np.array_split(np.arange(designs), min(count, designs))


def join_results(runs: list[SimulationResult]) -> SimulationResult:
    """Runs of a study's blocks as one; the design axis is the last but one of every array."""
    names = [one.name for one in fields(SimulationResult) if one.name != "hourly_output"]
    whole: dict[str, Any] = {name: np.concatenate([getattr(run, name) for run in runs], axis=-2) for name in names}
    return replace(runs[0], **whole)
