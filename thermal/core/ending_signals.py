"""Signals that ask a process to end."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager

# Closing the terminal, and a request to end. Windows has no first one, and its second one cannot be caught.
ENDING_SIGNALS = tuple(getattr(signal, name) for name in ("SIGHUP", "SIGTERM") if hasattr(signal, name))


@contextmanager
def unwound_by_signals() -> Iterator[None]:
    """Let a signal end the block as Ctrl-C does: workers and temporary files go, and the cursor comes back.

    Raises
    ------
    SystemExit
        With 128 and the signal's number, when one comes. A second one ends the process at once.
    """
    caught = []
    if threading.current_thread() is threading.main_thread():  # no other thread may set handlers
        caught = [name for name in ENDING_SIGNALS if signal.getsignal(name) is signal.SIG_DFL]  # not under nohup

    def unwind(number: int, _: object) -> None:
        end_at_once(caught)
        raise SystemExit(128 + number)

    for name in caught:
        signal.signal(name, unwind)
    try:
        yield
    finally:
        end_at_once(caught)


def end_at_once(names: list[signal.Signals] | tuple[signal.Signals, ...] = ENDING_SIGNALS) -> None:
    """Let signals end the process at once, as they do unless a program catches them."""
    for name in names:
        signal.signal(name, signal.SIG_DFL)
