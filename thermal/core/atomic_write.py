"""Files written so that a reader finds either the old file or the new one, never half of one."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

from thermal.errors import OverwinterError


def write_atomically(path: Path, content: bytes | str) -> Path:
    """Write a file in one step: first to a temporary file in the same folder, then over the old one.

    Parameters
    ----------
    path : Path
        The file to write. Missing folders are created.
    content : bytes or str
        What to write; text is encoded as UTF-8.

    Returns
    -------
    Path
        The same path.

    Raises
    ------
    OverwinterError
        When the file or its folder cannot be written.
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
    """File name made from a title: at most 60 lower-case letters, digits and hyphens, "plan" where none is left."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:60] or "plan"
