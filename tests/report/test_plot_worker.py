"""The process that draws, asked for things of the standard library."""

from __future__ import annotations

import multiprocessing
import os

import pytest

from thermal.report.plot_worker import painter


def test_calls_are_answered_by_one_other_process():
    with painter("os") as draw:
        first, second = draw("getpid"), draw("getpid")
        assert second() == first() != os.getpid()
    assert multiprocessing.active_children() == []


def test_much_goes_both_ways_at_once():
    """More than a pipe holds: were a call sent while the last outcome waits to be read, both sides would wait."""
    much = 5_000_000
    with painter("builtins") as draw:
        design_results = [draw("bytes", much), draw("len", bytes(much)), draw("bytes", much)]
        assert [design_results[place]() for place in (2, 1, 0)] == [bytes(much), much, bytes(much)]


def test_what_goes_wrong_there_is_raised_here():
    with painter("math") as draw:
        wrong, right = draw("sqrt", -1.0), draw("sqrt", 9.0)
        with pytest.raises(ValueError, match=r"math domain error|expected a nonnegative input"):
            wrong()
        assert right() == 3.0


def test_a_plan_that_breaks_off_leaves_no_process():
    def broken_off():
        with painter("math"):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert multiprocessing.active_children() == []
