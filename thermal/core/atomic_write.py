"""Writing files so that a reader finds either the old or the new one, never half of it."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

from thermal.errors import OverwinterError


def write_atomically(path: Path, content: bytes | str) -> Path:
    """Write a file in one move: into a temporary neighbour, then over the old one.

    Raises
    ------
    OverwinterError
        When the folder cannot be written to.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as fault:
        raise OverwinterError(f"{path}: cannot be written ({fault.strerror or fault})") from fault
    finally:
        if temporary and os.path.exists(temporary):
            os.unlink(temporary)
    return path


def file_name(text: str) -> str:
    """A file name made of a title: lower-case letters, digits and hyphens only."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:60] or "plan"
