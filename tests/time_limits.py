"""A pytest plugin for mutants: tests that take long are broken off and named, and a run ends after a given time.

python -m pytest -p tests.time_limits ...     with TEST_SECONDS, RUN_SECONDS and OVER_TIME (a file) set
"""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest

TEST_S, RUN_S = float(os.environ["TEST_SECONDS"]), float(os.environ["RUN_SECONDS"])
WALL_FACTOR = 20.0  # other processes take their share of the machine


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> bool | None:
    """Leave out what is left when the run's time is over."""
    return True if time.process_time() > RUN_S else None


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item):
    with _Limited(item):
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item):
    with _Limited(item):
        return (yield)


class _Limited:
    """Break off what takes more processor time, and write down the test's name."""

    def __init__(self, item: pytest.Item) -> None:
        self.item = item

    def __enter__(self) -> None:
        for number in (signal.SIGPROF, signal.SIGALRM):
            signal.signal(number, self._break_off)
        signal.setitimer(signal.ITIMER_PROF, TEST_S)
        signal.setitimer(signal.ITIMER_REAL, WALL_FACTOR * TEST_S)

    def __exit__(self, *_error: object) -> None:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)

    def _break_off(self, *_signal: object) -> None:
        with Path(os.environ["OVER_TIME"]).open("a", encoding="utf-8") as names:
            names.write(self.item.nodeid + "\n")
        pytest.skip("over its time")
