"""Limits of a plan file as a document: depth, length of keys, length of numbers, characters.

They are checked before anything else reads the document, because the readers after it take long over, or fail on, a
document that is far from any plan.
"""

from __future__ import annotations

import re
from typing import Any

from thermal.core.shown_text import control_character, cut

DEEPEST_TABLES = 8  # tables, or lists, in one another; a measure that sets tariff tiers has five
LONGEST_KEY = 100  # characters
LARGEST_WHOLE_NUMBER = 10**18
LONGEST_NUMBER = 100  # digits, with signs and points
Place = tuple[int | str, ...]

_QUOTED_OR_COMMENT = re.compile(
    r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*', re.DOTALL
)
_WORD = re.compile(rf"[\w+-]{{{LONGEST_NUMBER + 1},}}")
_DOTTED = re.compile(rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{DEEPEST_TABLES},}}+")


def text_fault(text: str) -> str:
    """The first limit that the text of a plan file breaks, "" where it breaks none.

    Parameters
    ----------
    text : str
        The file, before it is read as TOML: a key of 100,000 parts would take the TOML reader hours.
    """
    bare = _QUOTED_OR_COMMENT.sub(_blank_out, text)
    for pattern, what in (
        (_DOTTED, f"has more than {DEEPEST_TABLES} parts; a plan has at most {DEEPEST_TABLES} tables in one another"),
        (_WORD, f"is {{}} characters long; write at most {LONGEST_KEY}"),
    ):
        if word := pattern.search(bare):
            line = bare.count("\n", 0, word.start()) + 1
            return f"line {line}: {cut(word[0])!r} {what.format(len(word[0]))}"
    return ""


def _blank_out(match: re.Match[str]) -> str:
    """What stands for a comment or a quoted text: nothing, or a short key; its line ends are kept."""
    return ("" if match[0].startswith("#") else "q") + "\n" * match[0].count("\n")


def document_faults(document: dict[str, Any]) -> list[tuple[Place, str]]:
    """Places of a document that break a limit, each with what is wrong.

    Parameters
    ----------
    document : dict
        The plan file as nested tables.

    Returns
    -------
    list of tuple
        The keys and indices that lead to the place, and a sentence without its subject.
    """
    faults: list[tuple[Place, str]] = []
    left: list[tuple[Place, Any, int, int]] = [((), document, 0, 0)]
    while left:
        place, node, tables, lists = left.pop()
        if isinstance(node, dict):
            if tables > DEEPEST_TABLES:
                faults.append((place[:1], f"has more than {DEEPEST_TABLES} tables in one another; write fewer"))
                continue
            faults += [(place, fault) for fault in map(_key_fault, map(str, node)) if fault]
            left += [((*place, key), value, tables + 1, lists) for key, value in node.items()]
        elif isinstance(node, list):
            if lists >= DEEPEST_TABLES:
                faults.append((place[:1], f"has more than {DEEPEST_TABLES} lists in one another; write fewer"))
                continue
            left += [((*place, index), value, tables, lists + 1) for index, value in enumerate(node)]
        elif fault := _value_fault(node):
            faults.append((place, fault))
    return faults[::-1]


def _key_fault(key: str) -> str:
    """What is wrong with a key itself."""
    if len(key) > LONGEST_KEY:
        return f"the key {cut(key)!r} is {len(key):,} characters long; write at most {LONGEST_KEY}"
    if sign := control_character(key):
        return f"the key {key!r} has the control character {sign}; write plain text"
    return ""


def _value_fault(value: object) -> str:
    """What is wrong with a single value, whatever its key."""
    if isinstance(value, str) and (sign := control_character(value)):
        return f"{cut(value)!r} has the control character {sign}; write plain text on one line"
    if isinstance(value, int) and abs(value) > LARGEST_WHOLE_NUMBER:
        return "the whole number is too large; write a smaller one"
    return ""
