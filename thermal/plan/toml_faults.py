"""The commonest faults of a TOML file in plain words, with the line they stand in."""

from __future__ import annotations

import json
import re
import tomllib
from typing import Any

from thermal.errors import LONGEST_SHOWN

CURLY_QUOTES = "“”„‟«»‘’‚"
MOST_FAULTS = 20


def toml_faults(text: str) -> list[str]:
    """What is wrong with a plan file that is not TOML: every faulty line, as far as the parser can go on after it.

    Parameters
    ----------
    text : str
        The file.
    """
    lines, last = text.split("\n"), 0
    faults: list[str] = []
    while len(faults) < MOST_FAULTS:
        try:
            tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as fault:
            number = _line_number(fault)
            if number is None or number <= last:  # what follows may come from the line taken out
                return faults or [toml_fault(text, fault)]
            faults.append(toml_fault(text, fault))
            if lines[number - 1].lstrip().startswith("["):
                break
            lines[number - 1], last = "", number
        else:
            break
    return faults


def _line_number(fault: tomllib.TOMLDecodeError) -> int | None:
    """The line, from 1, in which the parser stopped."""
    place = re.search(r"\(at line (\d+), column \d+\)", str(fault))
    return int(place[1]) if place else None


def toml_fault(text: str, fault: tomllib.TOMLDecodeError) -> str:
    """What is wrong with a plan file that is not TOML, and what to write.

    Parameters
    ----------
    text : str
        The file.
    fault : TOMLDecodeError
        What the parser says of it.
    """
    number = _line_number(fault)
    if number is None:
        return f"is not valid TOML: {fault}"
    line = text.split("\n")[number - 1].strip()
    return f"line {number}: {_remedy(line, str(fault))}. The line is: {_cut(line)}"


def _cut(part: str) -> str:
    """Text of a file as it is shown: its beginning."""
    return part if len(part) <= LONGEST_SHOWN else f"{part[: LONGEST_SHOWN - 1]}…"


def _remedy(line: str, message: str) -> str:
    """What is wrong in a line, and what to write instead."""
    key, _, value = (_cut(part.strip()) for part in line.partition("="))
    if any(quote in line for quote in CURLY_QUOTES):
        return 'the quotes are curly; write straight ones, such as "10 degC"'
    if value.startswith("="):
        return f"two equals signs; write one: {key} = {value.lstrip('= ')}"
    if "\\" in value and value.startswith('"'):
        return "a backslash in quotes has a meaning of its own; write / in its place, or put the text in single quotes"
    if twice := re.search(r"Cannot declare \((.*?),?\) twice", message):
        return (
            f"the section [{twice.group(1).replace(chr(39), '').replace(', ', '.')}] stands twice; make one of the two"
        )
    if "Cannot overwrite a value" in message:
        return f"{key} stands twice in its section; remove one of them"
    if value and value[0] not in "\"'[{" and message.startswith(("Invalid value", "Expected newline")):
        return f"text and quantities stand in quotes; write {key} = {json.dumps(value, ensure_ascii=False)}"
    return f"not valid TOML: {re.sub(r' [(]at line.*', '', message)}"


def toml_value(value: Any) -> str:
    """A value as text of a plan file; the strings, numbers and lists of JSON are also TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {toml_value(item)}" for key, item in value.items()) + " }"
    return json.dumps(value, ensure_ascii=False)
