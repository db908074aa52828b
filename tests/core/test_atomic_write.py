"""What is replaced by a file that is written, and what is not: the answers of the operating system are the measure."""

from __future__ import annotations

import multiprocessing
import os
import resource
import socket
import stat
from pathlib import Path

import pytest

from thermal.core import atomic_write
from thermal.core.atomic_write import write_all_atomically, write_atomically
from thermal.errors import OverwinterError


@pytest.mark.parametrize("kind", ["folder", "pipe", "device", "socket"])
def test_only_a_file_is_replaced(tmp_path, kind):
    path = tmp_path / "x"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path = Path("/dev/null")
    else:
        server = socket.socket(socket.AF_UNIX)
        server.bind(str(path))
        server.close()
    before = stat.S_IFMT(path.stat().st_mode)
    with pytest.raises(OverwinterError, match=f"is a {kind}; give the name of a file"):
        write_atomically(path, "new")
    assert stat.S_IFMT(path.stat().st_mode) == before
    assert not list(tmp_path.glob(".x*"))


def test_a_link_stays_and_its_file_is_written(tmp_path):
    (tmp_path / "far").mkdir()
    target, link = tmp_path / "far" / "answer.json", tmp_path / "link.json"
    target.write_text("old")
    link.symlink_to(target)
    assert write_atomically(link, "new") == link
    assert link.is_symlink()
    assert target.read_text() == "new"
    target.unlink()
    write_atomically(link, "again")
    assert target.read_text() == "again"
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    with pytest.raises(OverwinterError, match="loop: cannot be written"):
        write_atomically(loop, "new")


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o666, 0o755])
def test_permissions_are_kept(tmp_path, mode):
    path = tmp_path / "x"
    path.write_text("old")
    path.chmod(mode)
    write_atomically(path, "new")
    assert stat.S_IMODE(path.stat().st_mode) == mode
    assert path.read_text() == "new"


@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_a_new_file_follows_the_umask(tmp_path, mask, mode):
    before = os.umask(mask)
    try:
        write_atomically(tmp_path / "x", "new")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "x").stat().st_mode) == mode


@pytest.mark.skipif(os.geteuid() != 0, reason="to give files away needs root")
def test_the_owner_is_kept_or_the_file_is_refused(tmp_path):
    path = tmp_path / "x"
    path.write_text("old")
    os.chown(path, 1234, 2345)
    write_atomically(path, "new")
    assert (path.stat().st_uid, path.stat().st_gid) == (1234, 2345)
    path.chmod(0o666)
    for place in (tmp_path, *tmp_path.parents[:3]):
        place.chmod(0o777)
    os.seteuid(65534)
    try:
        with pytest.raises(OverwinterError, match="belongs to another user"):
            write_atomically(path, "third")
    finally:
        os.seteuid(0)
    assert path.read_text() == "new"
    assert [one.name for one in tmp_path.iterdir()] == ["x"]


def test_a_read_only_file_is_refused(tmp_path):
    """Also for root, whom the system lets write it."""
    path = tmp_path / "x"
    path.write_text("old")
    path.chmod(0o444)
    with pytest.raises(OverwinterError, match="x: is read-only"):
        write_atomically(path, "new")
    assert path.read_text() == "old"


def test_a_file_in_place_of_a_folder_is_told(tmp_path):
    (tmp_path / "reports").write_text("a file")
    for path in (tmp_path / "reports" / "x", tmp_path / "reports" / "plan" / "x"):
        with pytest.raises(OverwinterError, match=r"cannot be written \(.*reports is a file, not a folder\)"):
            write_atomically(path, "new")


def test_files_that_belong_together_are_all_old_or_all_new(tmp_path):
    """The last of three cannot be written: it is a folder, or the disk is full (a limit on the size of files)."""
    names = [tmp_path / name for name in "abc"]
    write_all_atomically(dict.fromkeys(names, "old"))
    names[2].unlink()
    names[2].mkdir()
    with pytest.raises(OverwinterError, match="is a folder"):
        write_all_atomically(dict.fromkeys(names, "new"))
    names[2].rmdir()
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, limits[1]))
    try:
        with pytest.raises(OverwinterError, match=r"c: cannot be written \(File too large\)"):
            write_all_atomically({names[0]: "new", names[1]: "new", names[2]: "n" * 3000})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert [path.read_text() for path in names[:2]] == ["old", "old"]
    assert sorted(tmp_path.iterdir()) == names[:2]


def _write_often(folder: Path, word: str) -> None:
    for _ in range(25):
        write_all_atomically({folder / f"{i}.txt": word for i in range(8)})


def test_two_processes_leave_the_files_of_one(tmp_path):
    """Each writes eight files again and again; whoever was last, the files are all of one writing."""
    context = multiprocessing.get_context("fork")
    writers = [context.Process(target=_write_often, args=(tmp_path, word)) for word in ("one", "two")]
    for writer in writers:
        writer.start()
    while any(writer.is_alive() for writer in writers):
        with atomic_write._folder_held(tmp_path):
            words = {path.read_text() for path in tmp_path.glob("*.txt")}
        assert len(words) <= 1
    for writer in writers:
        writer.join()
        assert writer.exitcode == 0
    assert len(list(tmp_path.iterdir())) == 8
