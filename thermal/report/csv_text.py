"""Tables as CSV that a spreadsheet reads as numbers and text, never as formulas."""

from __future__ import annotations

import io

import pandas as pd

from thermal.core.shown_text import printable

FORMULA_STARTS = ("=", "+", "-", "@")  # a cell that begins so is run by a spreadsheet


def inert(text: str) -> str:
    """A text made safe for a spreadsheet: an apostrophe before what looks like a formula, and escapes for tabs."""
    shown = printable(text)
    return f"'{shown}" if shown.lstrip(" ").startswith(FORMULA_STARTS) else shown


def csv_text(table: pd.DataFrame, index: str | None = None) -> str:
    """A table as CSV. Headings and texts that look like formulas have an apostrophe in front; numbers are unchanged.

    Parameters
    ----------
    table : DataFrame
        The table.
    index : str or None
        Heading of its index; None leaves the index out.
    """
    safe = table.map(lambda cell: inert(cell) if isinstance(cell, str) else cell) if _has_text(table) else table.copy()
    safe.columns = pd.Index([inert(str(name)) for name in table.columns])
    text = io.StringIO()
    safe.to_csv(text, index=index is not None, index_label=index)
    return text.getvalue()


def _has_text(table: pd.DataFrame) -> bool:
    """Whether a column may hold text."""
    return any(not pd.api.types.is_numeric_dtype(kind) for kind in table.dtypes)
