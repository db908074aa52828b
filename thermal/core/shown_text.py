"""Text of files as it is shown: control characters as escapes, and long values cut."""

from __future__ import annotations

import re

from thermal.errors import LONGEST_SHOWN

LONGEST_LINE = 1000  # characters of one line of a message
# C0 and C1 control characters, line and paragraph separators, and marks that turn the direction of writing.
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_CONTROL_IN_LINES = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def control_character(text: str) -> str:
    """The first control character of a text as "U+001B", "" where it has none."""
    first = _CONTROL.search(text)
    return f"U+{ord(first[0]):04X}" if first else ""


def printable(text: str) -> str:
    r"""A text of one line with control characters as escapes, such as \x1b, which a terminal does not obey."""
    return _CONTROL.sub(_escape, text)


def printable_lines(text: str) -> str:
    """A message as it is shown: control characters except line ends as escapes, and very long lines cut."""
    lines = _CONTROL_IN_LINES.sub(_escape, text).split("\n")
    return "\n".join(cut(line, LONGEST_LINE) for line in lines)


def cut(text: str, longest: int = LONGEST_SHOWN) -> str:
    """Beginning and end of a text that is longer than a number of characters, with … between; others unchanged."""
    if len(text) <= longest:
        return text
    end = longest // 4
    return f"{text[: longest - end - 1]}…{text[-end:]}"


def _escape(match: re.Match[str]) -> str:
    """One character as an escape."""
    return ascii(match[0])[1:-1]
