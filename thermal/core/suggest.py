"""Nearest valid word for a mistyped one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(word: str, known: Iterable[str], likeness: float = 0.55) -> str:
    """Suggestion for a mistyped word, as the end of an error message.

    Parameters
    ----------
    word : str
        The word as it was typed.
    known : iterable of str
        The valid words.
    likeness : float
        Least likeness of a suggestion, 0 to 1. Higher where words of different kinds look alike, as stone and steel do.

    Returns
    -------
    str
        The nearest valid word as a question, or a list of all valid words where none is near.
    """
    words = list(known)
    lowered = {word.lower(): word for word in words}
    near = difflib.get_close_matches(str(word).lower(), lowered, n=1, cutoff=likeness)
    if near:
        return f"did you mean {lowered[near[0]]!r}?"
    return "write one of " + ", ".join(repr(word) for word in words) if words else "there are none"
