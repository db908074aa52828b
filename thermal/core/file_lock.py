"""A lock that one process at a time can hold, and that ends with the process, however that ends."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from thermal.errors import OverwinterError


@contextmanager
def only_one(path: Path, busy: str) -> Iterator[None]:
    """Hold a lock, and leave no file behind.

    Parameters
    ----------
    path : Path
        File of the lock. Its folder is created where it is missing.
    busy : str
        Message where another process holds the lock.

    Raises
    ------
    OverwinterError
        When another process holds it, or the file cannot be made.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as fault:
        raise OverwinterError(f"{path}: cannot be written ({fault.strerror or fault})") from fault
    try:
        if not _lock(handle) or not _is_still_there(handle, path):
            raise OverwinterError(busy)
        try:
            yield
        finally:
            with suppress(OSError):  # an open file cannot be deleted on Windows
                path.unlink()
    finally:
        os.close(handle)


def _lock(handle: int) -> bool:
    """Whether the lock could be taken."""
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError:
            return False
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _is_still_there(handle: int, path: Path) -> bool:
    """Whether the locked file is the one of this name, and not one that its holder has deleted meanwhile."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except OSError:
        return False
