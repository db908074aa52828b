"""A process that draws: begun before anything heavy is read, it reads the plotting library on a core of its own."""

from __future__ import annotations

import multiprocessing
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from multiprocessing.connection import Connection
from typing import Any


@contextmanager
def painter(module: str) -> Iterator[Callable[..., Callable[[], Any]]]:
    """Another process that reads a module at once and calls its functions, one after the other.

    Yields
    ------
    callable
        Sends a function's name and arguments, once the calls before are done, and gives what to call for the outcome;
        that raises what the function raised.
    """
    context = multiprocessing.get_context("fork" if sys.platform == "linux" else None)
    here, there = context.Pipe()
    process = context.Process(target=_paint, args=(here, there, module), daemon=True)
    process.start()
    there.close()
    begun: list[str] = []
    done: list[tuple[Any, Exception | None]] = []

    def result(place: int) -> Any:
        while len(done) <= place:
            done.append(here.recv())
        made, fault = done[place]
        if fault is not None:
            raise fault
        return made

    def begin(name: str, *args: Any) -> Callable[[], Any]:
        done.extend(here.recv() for _ in begun[len(done) :])  # or both ends might wait for the other to read
        here.send((name, args))
        begun.append(name)
        place = len(begun) - 1
        return lambda: result(place)

    try:
        yield begin
    finally:
        here.close()
        process.terminate()
        process.join()


def _paint(parents: Connection, pipe: Connection, module: str) -> None:
    """Answer every call until the parent hangs up; Ctrl-C is the parent's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parents.close()
    functions = import_module(module)
    while True:
        try:
            name, args = pipe.recv()
        except EOFError:
            return
        try:
            pipe.send((getattr(functions, name)(*args), None))
        except Exception as fault:
            pipe.send((None, fault))
