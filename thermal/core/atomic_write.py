"""Files written so that a reader finds either the old file or the new one, never half of one."""

from __future__ import annotations

import os
import re
import secrets
import stat
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from thermal.errors import OverwinterError

KINDS = (  # what a name may stand for in place of a file
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISSOCK, "a socket"),
)
WRITE_BITS = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


@dataclass(frozen=True)
class Target:
    """A file to replace.

    Parameters
    ----------
    path : Path
        The file itself; a symbolic link is followed.
    old : os.stat_result or None
        State of the file that is there now, None without one.
    """

    path: Path
    old: os.stat_result | None


def write_atomically(path: Path, content: bytes | str) -> Path:
    """Write a file in one step, as `write_all_atomically` does.

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
    return write_all_atomically({path: content})


def write_all_atomically(contents: Mapping[Path, bytes | str]) -> Path:
    """Write files that belong together: all of them to temporary files first, then each over the old one.

    A full disk, or a name that cannot be written, therefore leaves all the old files. A file that is replaced keeps its
    permissions and owner; a symbolic link is kept, and the file that it points to is replaced. Two processes that
    write into one folder do so one after the other (not on Windows, where only each file is whole).

    Parameters
    ----------
    contents : mapping of Path to bytes or str
        What to write to each file, in the order of writing; text is encoded as UTF-8. Missing folders are created.

    Returns
    -------
    Path
        The last path.

    Raises
    ------
    OverwinterError
        When a file or a folder cannot be written: it is read-only, belongs to another user, is no regular file, or the
        disk is full.
    """
    staged: list[tuple[str, Target]] = []
    try:
        for path, content in contents.items():
            with _in_words(path):
                _stage(path, content, staged)
        with _folder_held(staged[-1][1].path.parent):
            for name, (temporary, target) in zip(contents, staged, strict=True):
                with _in_words(name):
                    os.replace(temporary, target.path)
    finally:
        for temporary, _ in staged:
            with suppress(OSError):
                os.unlink(temporary)
    return list(contents)[-1]


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Turn an OSError of the block into an error that names the file."""
    try:
        yield
    except OSError as fault:
        raise OverwinterError(f"{path}: cannot be written ({fault.strerror or fault})") from fault


def _stage(path: Path, content: bytes | str, staged: list[tuple[str, Target]]) -> None:
    """Write the content of a file to a temporary file beside it, and add that to the list before it has content."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    target = _target(path)
    _make_folder(path, target.path.parent)
    temporary = str(target.path.parent / f".{target.path.name[:40]}.{secrets.token_hex(8)}")
    mode = 0o666 if target.old is None else 0o600  # a new file gets the permissions that the user's umask leaves
    handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    staged.append((temporary, target))
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    if target.old is not None:
        _keep_owner(path, temporary, target.old)
        os.chmod(temporary, stat.S_IMODE(target.old.st_mode))


def _target(path: Path) -> Target:
    """The file that a path stands for, refused where it may not be replaced."""
    real = Path(os.path.realpath(path))
    try:
        old = real.stat()
    except FileNotFoundError:
        return Target(real, None)
    except NotADirectoryError:
        return Target(real, None)  # told by `_make_folder`
    for is_kind, what in KINDS:
        if is_kind(old.st_mode):
            raise OverwinterError(f"{path}: is {what}; give the name of a file")
    if not old.st_mode & WRITE_BITS or not os.access(real, os.W_OK):
        raise OverwinterError(f"{path}: is read-only; give another name, or allow writing")
    return Target(real, old)


def _make_folder(path: Path, folder: Path) -> None:
    """Make the folder of a file where it is missing."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError) as fault:
        file = next(above for above in (folder, *folder.parents) if above.exists())
        raise OverwinterError(f"{path}: cannot be written ({file} is a file, not a folder)") from fault


def _keep_owner(path: Path, temporary: str, old: os.stat_result) -> None:
    """Give a new file the owner and group of the old one; a file whose owner cannot be kept is refused."""
    if sys.platform == "win32":
        return
    new = os.stat(temporary)
    if (new.st_uid, new.st_gid) == (old.st_uid, old.st_gid):
        return
    try:
        os.chown(temporary, old.st_uid, old.st_gid)
    except PermissionError as fault:
        raise OverwinterError(f"{path}: belongs to another user or group; give another name") from fault


@contextmanager
def _folder_held(folder: Path) -> Iterator[None]:
    """Wait until no other process replaces files in a folder. The lock is on the folder: no file is left behind."""
    try:
        import fcntl
    except ImportError:  # Windows
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:  # a folder that may be written but not read
        yield
        return
    try:
        with suppress(OSError):  # not every file system has locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def file_name(text: str) -> str:
    """File name made from a title: at most 60 lower-case letters, digits and hyphens, "plan" where none is left."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:60] or "plan"
