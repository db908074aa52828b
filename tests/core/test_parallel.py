"""Processes that a command starts end with it, whatever ends it: the system's own list of processes is the measure."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from itertools import product
from pathlib import Path

import pytest

from thermal.core.ending_signals import ENDING_SIGNALS, unwound_by_signals
from thermal.core.parallel import CORES, START_METHOD, processes

ROOT = Path(__file__).resolve().parents[2]
WITHIN_S = 2.0
COMMANDS, SIGNALS = ("run", "compare", "spread"), (signal.SIGTERM, signal.SIGHUP, signal.SIGKILL)
pytestmark = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="needs Linux's /proc")


def living(session: int) -> list[int]:
    """Processes of a session that have not ended; a zombie has."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = path.read_text("utf-8").rsplit(")", 1)[1].split()
        except (OSError, IndexError):  # it ended meanwhile
            continue
        if int(words[3]) == session and words[0] not in "ZX":
            found.append(int(path.parent.name))
    return found


def left_behind(command: str, number: int, folder: Path, late_s: float) -> tuple[int, list[int]]:
    """Exit code of a command that got a signal while its workers were at work, and who lived two seconds later."""
    child = subprocess.Popen(
        [sys.executable, "-m", "thermal", command, "workshop-metric"], cwd=folder, start_new_session=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_DFL),  # nohup's children ignore it
    )  # fmt: skip
    try:
        begun = time.monotonic()
        while len(living(child.pid)) < 1 + CORES:
            assert child.poll() is None, "it ended before its workers were seen"
            assert time.monotonic() - begun < 60.0
            time.sleep(0.02)
        time.sleep(late_s)
        assert child.poll() is None, "it ended before the signal"
        os.kill(child.pid, number)
        until = time.monotonic() + WITHIN_S
        while living(child.pid) and time.monotonic() < until:
            child.poll()
            time.sleep(0.02)
        left = living(child.pid)
        return child.wait(timeout=10), left
    finally:
        for one in living(child.pid):
            os.kill(one, signal.SIGKILL)


def check_end(command: str, number: int, folder: Path, late_s: float) -> None:
    code, left = left_behind(command, number, folder, late_s)
    assert not left, f"{len(left)} processes lived {WITHIN_S} s after the signal"
    assert code == (-number if number == signal.SIGKILL else 128 + number)
    if number != signal.SIGKILL:
        assert not [path for path in folder.rglob(".*") if path.is_file()], "a temporary file was left"


@pytest.mark.parametrize(("command", "number"), list(zip(COMMANDS, SIGNALS, strict=True)))
def test_no_process_is_left_by_a_signal(command, number, tmp_path):
    check_end(command, number, tmp_path, 0.1)


@pytest.mark.slow
@pytest.mark.parametrize("trial", range(20))
@pytest.mark.parametrize(("command", "number"), list(product(COMMANDS, SIGNALS)))
def test_no_process_is_left_by_a_signal_at_any_time(command, number, trial, tmp_path):
    check_end(command, number, tmp_path, 0.05 * trial)


def test_a_signal_that_is_ignored_stays_ignored():
    """As under nohup; and what a signal did before is what it does afterwards."""
    for name in ENDING_SIGNALS:
        before = signal.signal(name, signal.SIG_IGN)
        try:
            with unwound_by_signals():
                os.kill(os.getpid(), name)
            signal.signal(name, signal.SIG_DFL)
            with pytest.raises(SystemExit) as end, unwound_by_signals():
                os.kill(os.getpid(), name)
            assert end.value.code == 128 + name
            assert signal.getsignal(name) is signal.SIG_DFL
        finally:
            signal.signal(name, before)


@pytest.mark.skipif(START_METHOD != "fork", reason="elsewhere processes are started one by one")
def test_a_signal_between_the_forks_and_their_thread_leaves_no_process(monkeypatch):
    """Otherwise the command waits for idle processes that nobody ends."""

    def start_and_break_off(pool):
        pool._launch_processes()
        raise SystemExit(129)

    monkeypatch.setattr(ProcessPoolExecutor, "_start_executor_manager_thread", start_and_break_off)
    before = set(multiprocessing.active_children())
    with pytest.raises(SystemExit), processes():
        pass
    left = set(multiprocessing.active_children()) - before
    for child in left:
        child.join(WITHIN_S)
    alive = [child for child in left if child.is_alive()]
    for child in alive:
        child.kill()
    assert not alive
