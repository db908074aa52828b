"""Text for terminals that cannot show every sign: a sign that the encoding lacks is written with others."""

from __future__ import annotations

import codecs
import json
import re
import unicodedata
from typing import TYPE_CHECKING, Any

from rich.console import Console

if TYPE_CHECKING:
    from rich.text import Text

HANDLER = "overwinter-plain-signs"  # name of the handler for `str.encode` and for streams
PLAIN = {
    "°": "deg", "·": "*", "×": "x", "±": "+/-", "²": "2", "³": "3", "–": "-", "—": "-", "−": "-", "…": "...",
    "→": "->", "≤": "<=", "≥": ">=", "€": "EUR", "£": "GBP", "“": '"', "”": '"', "‘": "'", "’": "'",
    "█": "#", "≈": "=", "│": "|", "─": "-", "┌": "+", "┐": "+", "└": "+", "┘": "+", "┆": ":", "┄": ".",
}  # fmt: skip


def plain(sign: str) -> str:
    """A sign in ASCII: as in `PLAIN`, or its letter without accents, or a question mark."""
    letters = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode("ascii")
    return PLAIN.get(sign) or letters or "?"


def plain_text(text: str, encoding: str) -> str:
    """A text in which every sign that an encoding lacks is written with others."""
    return text.encode(encoding, HANDLER).decode(encoding)


def accept_every_sign(stream: Any) -> None:
    """Make a text stream write signs that its encoding lacks in plain signs; other streams stay as they are."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors=HANDLER)


def escape_json(text: str, encoding: str) -> str:
    """JSON in which what an encoding lacks is written as escapes, which stand for the same text."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return re.sub(r"[^\x00-\x7f]", lambda sign: json.dumps(sign[0])[1:-1], text)
    return text


class PlainConsole(Console):
    """A console that puts text in plain signs before it lays it out, so that columns stay aligned."""

    def render_str(self, text: str, **options: Any) -> Text:
        """The text of a cell or a line, in signs of the terminal."""
        return super().render_str(plain_text(text, self.encoding), **options)


def _replace(fault: UnicodeError) -> tuple[str, int]:
    """What to write in place of signs that an encoding lacks, and where to go on."""
    assert isinstance(fault, UnicodeEncodeError)
    return "".join(plain(sign) for sign in fault.object[fault.start : fault.end]), fault.end


codecs.register_error(HANDLER, _replace)
