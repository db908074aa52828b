"""The line of a plan file in which a key stands. The parser of TOML does not tell, so the lines are read once more."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from thermal.core.shown_text import printable
from thermal.errors import Fault

Keys = tuple[int | str, ...]

_NAME = r"(?:[\w-]+|\"[^\"]*\"|'[^']*')"
_DOTTED = rf"{_NAME}(?:\s*\.\s*{_NAME})*"
_TABLE = re.compile(rf"\s*(\[\[?)\s*({_DOTTED})\s*\]")
_KEY = re.compile(rf"\s*({_DOTTED})\s*=(.*)")
_LONG_TEXT = re.compile(r'("""|\'\'\').*?(?:\1|$)')
_NO_BRACKETS = re.compile(r"\"(?:\\.|[^\"\\])*\"|'[^']*'|#.*")
_STEP = r"[a-z_]+(?: \d+)?(?: \('[^']*'\))?"
_PLACE = re.compile(rf"({_STEP}(?:, {_STEP})*): ")


def with_lines(text: str, faults: Sequence[str]) -> list[str]:
    """Faults in the order of their lines, each with its line before it; those without a line last.

    Parameters
    ----------
    text : str
        The plan file, which is valid TOML.
    faults : sequence of str
        Its faults, as `PlanError` lists them.
    """
    lines = key_lines(text)
    numbered = [(_line_of(lines, _keys_of(fault)), fault) for fault in faults]
    numbered.sort(key=lambda pair: pair[0] or len(text))
    return [fault if line is None else Fault(f"line {line}: {fault}", _keys_of(fault)) for line, fault in numbered]


def key_lines(text: str) -> dict[Keys, int]:
    """The line, from 1, of every table and key of a TOML file; keys within braces or lists stand with their own key.

    Parameters
    ----------
    text : str
        The file, which is valid TOML.
    """
    lines: dict[Keys, int] = {}
    counts: dict[Keys, int] = {}
    table: Keys = ()
    depth, closes = 0, ""
    for number, line in enumerate(text.split("\n"), start=1):
        if closes:
            depth, closes = (depth, closes) if closes not in line else (depth, "")
            continue
        if depth == 0 and (heading := _TABLE.match(line)):
            table = _table_keys(heading[2], heading[1] == "[[", counts)
            lines.setdefault(table, number)
            continue
        key = _KEY.match(line) if depth == 0 else None
        if key:
            lines[table + _names(key[1])] = number
        rest = key[2] if key else line
        depth += _bracket_balance(rest)
        closes = _open_quotes(rest)
    return lines


def _table_keys(heading: str, is_list: bool, counts: dict[Keys, int]) -> Keys:
    """The keys of a table from its heading; within a list, those of the list's last table."""
    keys: Keys = ()
    names = _names(heading)
    for name in names[:-1]:
        keys += (name,)
        if keys in counts:
            keys += (counts[keys] - 1,)
    keys += names[-1:]
    if is_list:
        counts[keys] = counts.get(keys, 0) + 1
        keys += (counts[keys] - 1,)
    return keys


def _names(dotted: str) -> tuple[str, ...]:
    """The keys of a dotted key."""
    return tuple(name.strip("\"'") for name in re.findall(_NAME, dotted))


def _bracket_balance(value: str) -> int:
    """Brackets and braces that a piece of a value opens, less those that it closes."""
    bare = _NO_BRACKETS.sub("", _LONG_TEXT.sub("", value))
    return sum(bare.count(sign) for sign in "[{") - sum(bare.count(sign) for sign in "]}")


def _open_quotes(value: str) -> str:
    """The three quotes that close a text which a value begins; empty where it begins none."""
    left = _LONG_TEXT.search(value)
    return left[1] if left and not (left[0].endswith(left[1]) and len(left[0]) >= 6) else ""


def _keys_of(fault: str) -> Keys:
    """Keys of a fault's place: its own, or those that its sentence begins with."""
    if isinstance(fault, Fault) and fault.keys:
        return fault.keys
    place = _PLACE.match(fault)
    keys: list[int | str] = []
    for step in re.findall(rf"{_STEP}", place[1]) if place else []:
        word = re.match(r"([a-z_]+)(?: (\d+))?", step)
        assert word
        keys += [word[1], *([int(word[2]) - 1] if word[2] else [])]
    return tuple(keys)


def _line_of(lines: dict[Keys, int], keys: Keys) -> int | None:
    """The line of a key, or of the nearest table round it; None where none is written."""
    for length in range(len(keys), 0, -1):
        if keys[:length] in lines:
            return lines[keys[:length]]
        if isinstance(keys[length - 1], str):  # a list, or a table whose sub-tables alone have headings
            within = [line for key, line in lines.items() if key[:length] == keys[:length]]
            if within:
                return min(within)
    return None


def place_words(loc: Keys, document: dict[str, Any]) -> str:
    """A place in the document, such as "tank 1 ('perch tank'), diameter"."""
    words: list[str] = []
    node: Any = document
    for step in loc:
        node = node[step] if _has(node, step) else None
        if isinstance(step, int):
            name = node.get("name") if isinstance(node, dict) else None
            words[-1] += f" {step + 1}" + (f" ({name[:40]!r})" if name and isinstance(name, str) else "")
        else:
            words.append(printable(step) if step.strip() else repr(step))
    return ", ".join(words) or "plan"


def _has(node: Any, step: int | str) -> bool:
    """Whether a table has a key, or a list an index."""
    if isinstance(node, dict):
        return step in node
    return isinstance(node, list) and isinstance(step, int) and step < len(node)
