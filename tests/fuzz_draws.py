"""What runs many cases quickly: values drawn one by one, commands built once, the work of workers in this process."""

from __future__ import annotations

import contextlib
import functools
import random
from collections.abc import Iterator
from itertools import count
from typing import Any
from unittest import mock

import typer.main
from hypothesis import strategies as st
from hypothesis.control import BuildContext
from hypothesis.errors import StopTest, UnsatisfiedAssumption
from hypothesis.internal.conjecture.data import ConjectureData

from thermal.core import parallel


def drawn_by(strategy: st.SearchStrategy[Any], seed: str) -> Any:
    """A value of a strategy, the same for the same seed.

    Hypothesis' own engine draws half of its values by changing earlier ones, which repeats many plans.
    """
    for attempt in count():
        data = ConjectureData(random=random.Random(f"{seed} {attempt}"))
        with contextlib.suppress(StopTest, UnsatisfiedAssumption), BuildContext(data, wrapped_test=drawn_by):
            return data.draw(strategy)
    raise AssertionError


@contextlib.contextmanager
def commands_built_once() -> Iterator[None]:
    """Let Typer build the commands from their functions once; each call of the program builds them anew otherwise."""
    with mock.patch.object(typer.main, "get_command", functools.cache(typer.main.get_command)):
        yield


@contextlib.contextmanager
def workers(real: bool) -> Iterator[None]:
    """Let commands use one worker process, or do its work in this process, so that memory is counted as one."""

    @contextlib.contextmanager
    def none() -> Iterator[parallel.SerialExecutor]:
        yield parallel.SerialExecutor()

    with contextlib.ExitStack() as patches:
        patches.enter_context(mock.patch.object(parallel, "CORES", 1))
        if not real:
            patches.enter_context(mock.patch.object(parallel, "processes", none))
        yield
