"""Generated parts of a Markdown file: the lines between `<!-- NAME: begin -->` and `<!-- NAME: end -->`."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")


def generated(path: Path, name: str) -> list[str]:
    """The lines of a generated part, as they stand in the file."""
    _, part, _ = _split(path.read_text("utf-8"), name)
    return part.strip("\n").splitlines()


def write_generated(path: Path, name: str, lines: list[str]) -> None:
    """Replace a generated part of the file."""
    before, _, after = _split(path.read_text("utf-8"), name)
    path.write_text(before + "\n" + "\n".join(lines) + "\n" + after, "utf-8")


def words_and_numbers(lines: list[str]) -> tuple[list[str], list[float]]:
    """A text without its numbers, line breaks and table rules not counted, and the numbers in it."""
    text = "\n".join(lines)
    words = NUMBER.sub("#", text).translate(dict.fromkeys(map(ord, "─|"), " ")).split()
    return words, [float(number.replace(",", "")) for number in NUMBER.findall(text)]


def _split(text: str, name: str) -> tuple[str, str, str]:
    begin, end = f"<!-- {name}: begin -->", f"<!-- {name}: end -->"
    assert text.count(begin) == text.count(end) == 1, name
    before, rest = text.split(begin)
    part, after = rest.split(end)
    return before + begin, part, end + after
