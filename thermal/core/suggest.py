"""The nearest valid word to a mistyped one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(word: str, known: Iterable[str]) -> str:
    """Suggestion for a mistyped word: the nearest valid one, or the whole list when none is near."""
    words = list(known)
    lowered = {word.lower(): word for word in words}
    near = difflib.get_close_matches(str(word).lower(), lowered, n=1, cutoff=0.55)
    if near:
        return f"did you mean {lowered[near[0]]!r}?"
    return "known are " + ", ".join(repr(word) for word in words)
