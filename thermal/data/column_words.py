"""Words, units and roles of the columns of weather files and logs, from `column_words.toml`."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib.resources import files
from typing import Any

LETTERS = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "ł": "l", "đ": "d"})
LONGEST_PHRASE = 4  # words


@dataclass(frozen=True)
class ColumnUnit:
    """A unit of a column.

    Attributes
    ----------
    name : str
        Its key in the table, as in `--unit`.
    kind : str
        What it measures, for example "temperature".
    shown : str
        How it is written.
    factor, zero : float
        The value in SI units is (value - zero) times factor.
    """

    name: str
    kind: str
    shown: str
    factor: float
    zero: float


@dataclass(frozen=True)
class Role:
    """What a column may be read as.

    Attributes
    ----------
    name : str
        Name of the column of the result, with its SI unit.
    option : str
        Its name in `--column`.
    shown : str
        Its name in a listing.
    kind : str
        What it measures.
    exact : tuple of str
        Whole headings that name it for sure.
    place : tuple of str
        Words that name it for sure.
    must, never : tuple of str
        Words without which a column is not read as it, empty where none is needed; and words with which it is not.
    weather, log : tuple of str
        More words that name it, in weather files or in logs only.
    low, high : float
        Values outside are impossible, in SI units.
    """

    name: str
    option: str
    shown: str
    kind: str
    exact: tuple[str, ...]
    place: tuple[str, ...]
    must: tuple[str, ...]
    never: tuple[str, ...]
    weather: tuple[str, ...]
    log: tuple[str, ...]
    low: float
    high: float


def plain(text: str) -> str:
    """A heading in lower case, without accents, its words separated by single spaces."""
    spaced = re.sub(r"(?<=[a-zà-ÿ])(?=[A-ZÀ-Þ])", " ", unicodedata.normalize("NFKC", text))
    bare = "".join(c for c in unicodedata.normalize("NFKD", spaced.casefold()) if not unicodedata.combining(c))
    return " ".join(re.findall(r"[\w°#%?*]+", bare.translate(LETTERS).replace("_", " ")))


@cache
def words_table() -> dict[str, Any]:
    """The whole table, its words made plain."""

    def plain_words(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: plain_words(item) for key, item in value.items()}
        if isinstance(value, list):
            return [plain(item) if isinstance(item, str) else plain_words(item) for item in value]
        return value

    text = (files("thermal.data") / "column_words.toml").read_text("utf-8")
    table: dict[str, Any] = plain_words(tomllib.loads(text))
    return table


@cache
def column_units() -> dict[str, ColumnUnit]:
    """Units by their keys in the table."""
    return {
        key: ColumnUnit(key, row["kind"], row["shown"], row["factor"], row["zero"])
        for key, row in words_table()["unit"].items()
    }


@cache
def unit_words() -> dict[str, ColumnUnit]:
    """Units by the words that name them, written without spaces."""
    rows = words_table()["unit"]
    return {word.replace(" ", ""): unit for key, unit in column_units().items() for word in rows[key]["words"]}


@cache
def column_roles() -> dict[str, Role]:
    """Roles by their names, in the order in which they are tried."""
    groups = ("exact", "place", "must", "never", "weather", "log")
    return {
        row["name"]: Role(
            **{key: row[key] for key in ("name", "option", "shown", "kind", "low", "high")},
            **{group: tuple(row.get(group, ())) for group in groups},  # type: ignore[arg-type]
        )
        for row in words_table()["role"]
    }


def has_word(words: str, patterns: tuple[str, ...] | list[str]) -> bool:
    """Whether a plain heading has a word, or words in a row, that one of the patterns matches.

    Parameters
    ----------
    words : str
        The heading, as `plain` gives it.
    patterns : tuple or list of str
        Plain words in which * stands for any letters.
    """
    parts = words.split()
    phrases = [
        " ".join(parts[first : first + length])
        for length in range(1, min(LONGEST_PHRASE, len(parts)) + 1)
        for first in range(len(parts) - length + 1)
    ]
    return any(fnmatchcase(phrase, pattern) for pattern in patterns for phrase in phrases)


def heading_unit(heading: str) -> tuple[str, ColumnUnit | None]:
    """A heading's words without its unit, and the unit.

    Parameters
    ----------
    heading : str
        The heading as it is in the file.

    Returns
    -------
    words : str
        Its plain words.
    unit : ColumnUnit or None
        None where it names none. A letter is a unit in brackets or at the end only, and only °C,
        °F, K or W at the end: "Tank A" is no current.
    """
    known = unit_words()
    for match in re.finditer(r"[(\[{]([^)\]}]*)[)\]}]", heading):
        unit = known.get(_key(match[1]))
        if unit is not None:
            return plain(heading[: match.start()] + " " + heading[match.end() :]), unit
    parts = plain(heading).split()
    degree = next((part for part in parts if part in ("°c", "°f")), None)
    if degree is not None:
        return " ".join(part for part in parts if part != degree), known[degree]
    for length in range(min(3, len(parts)), 0, -1):
        for last in (len(parts), *range(length, len(parts))):
            word = "".join(parts[last - length : last])
            unit = known.get(word)
            fewest = 4 if last < len(parts) else 3 if unit is not None and unit.kind == "other" else 1
            if unit is not None and len(word) >= fewest:
                return " ".join(parts[: last - length] + parts[last:]), unit
    return " ".join(parts), None


def _key(text: str) -> str:
    """A unit without spaces and signs, as the table has it."""
    return re.sub(r"[^a-z0-9%°]", "", plain(text.replace("²", "2").replace("⁻¹", "1")))
