"""What runs many cases quickly: values drawn one by one, commands built once, the work of workers in this process."""

from __future__ import annotations

import contextlib
import functools
import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any
from unittest import mock

import typer.main
from hypothesis import strategies as st
from hypothesis.control import BuildContext
from hypothesis.errors import StopTest, UnsatisfiedAssumption
from hypothesis.internal.conjecture.data import ConjectureData

from thermal.analysis import plan_check, plan_weather
from thermal.climate.dataset import Climate
from thermal.climate.library import read_climate
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
def weather_read_once(*names: str) -> Iterator[None]:
    """Let weather files of these names, which do not change, be read once; other files are read as ever."""
    read: dict[str, Climate] = {}

    def once(path: Path) -> Climate:
        if path.name not in names:
            return read_climate(path)
        if path.name not in read:
            read[path.name] = read_climate(path)
        return replace(read[path.name], hours=read[path.name].hours.copy())

    with mock.patch.object(plan_weather, "read_climate", once), mock.patch.object(plan_check, "read_climate", once):
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
