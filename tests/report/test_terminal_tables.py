"""A table in a terminal shows every figure whole, however narrow the terminal is."""

from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console

from thermal.report.terminal_tables import table

HEADS = ["other way", "price (EUR)", "heater needed (W)", "kWh a winter", "saves (EUR a winter)", "hours of mould risk"]
FIGURES = st.integers(-99_999, 9_999_999).map(lambda number: f"{number:,}")
WORDS = st.lists(st.text("abcdefghij", min_size=1, max_size=14), min_size=1, max_size=6).map(" ".join)


def printed(heads: list[str], rows: list[tuple[str, ...]], width: int, left: int = 1) -> list[str]:
    """The lines of a table in a terminal of some columns."""
    console = Console(file=io.StringIO(), width=width)
    console.print(table(heads, rows, left))
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue().splitlines()


@given(st.lists(st.tuples(WORDS, *[FIGURES] * 5), min_size=1, max_size=5), st.integers(30, 140))
@settings(max_examples=60, deadline=None)
def test_no_figure_and_no_word_is_cut(rows, width):
    lines = printed(HEADS, rows, width)
    words = " ".join(lines).split()
    for name, *figures in rows:
        assert all(words.count(figure) >= figures.count(figure) for figure in figures)
        assert set(name.split()) <= {word.strip(":") for word in words}
    assert set(" ".join(HEADS[1:]).split()) <= {word.strip(":") for word in words}
    assert max(map(len, lines)) <= width


@pytest.mark.parametrize("width", [79, 80, 100, 120])
def test_two_columns_of_words_share_the_room(width):
    rows = [("a pump that stops at night and starts in the morning", "costs little, and cools the beds", "4,300")]
    lines = printed(["way", "what it does", "hours of mould risk"], rows, width, 2)
    assert "4,300" in " ".join(lines).split()
    assert max(map(len, lines)) <= width
    assert len(lines) < 9  # a table, not its rows one below the other
