"""`start` in a terminal: a stranger's answers from an empty folder to a plan, and Ctrl-C in the middle of them."""

from __future__ import annotations

import os
import select
import signal
import sys
import time
from pathlib import Path

import pytest

from thermal.plan.reader import read_plan

pty = pytest.importorskip("pty", reason="no pseudo-terminals on this system")
ROOT = Path(__file__).resolve().parents[2]
CTRL_C = "\x03"
LONGEST_S = 120.0
DIALOGUE = [  # what stands in the question, and what is typed; a question asked again stands twice
    ("Kind of room", "two-car garag"), ("Kind of room", "two-car garage"),
    ("Weather of your town", "Bismarck"), ("Weather of your town", "46.8, -100.8"),
    ("Mean temperatures", "-9, -6, 1, 8"), ("Mean temperatures", "-9, -6.5, 0, 8, 15, 20, 23, 22, 17, 9, 1, -7"),
    ("Lowest temperature", "-34 F"),
    ("Size of the room", "24 x 24"), ("Size of the room", "24 x 24 x 9 ft"),
    ("Outside walls", "bare"), ("Ceiling", "no"), ("Largest outside door", "not insulated"),
    ("Size of that door", "16x7 ft"), ("Walls shared", "1"),
    ("Minimum water temperature", "goldfish and lettus"), ("Minimum water temperature", "gold fish and lettuce"),
    ("Plants", ""), ("Shape", "275 gal"), ("Shape", "rectangular"),
    ("Size of the tank", "40 ft x 40 ft"), ("Size of the tank", "48 in x 40 in"),
    ("Cover", ""), ("Sump", "none"), ("Number of grow beds", "2.5"), ("Number of grow beds", "two"),
    ("Size of each bed", "4x8 ft"), ("Depth of the water in a", "12 in"), ("Share of the pump", ""),
    ("Grow lights", ""), ("Heaters", ""), ("Circuits", "15 amps 120 volts"), ("Currency", ""),
    ("Price", "17"), ("Price", "17 cents"),
]  # fmt: skip


def walked(
    folder: Path, dialogue: list[tuple[str, str]], words: str = "-m thermal start my.toml --units us"
) -> tuple[int, str, list[str]]:
    """Exit code, screen, and the questions that were not the expected ones, of Python with some words in a folder."""
    program, descriptor = pty.fork()
    if program == 0:
        os.chdir(folder)
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "dumb", "COLUMNS": "200"}
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # where the tests run in the background, Ctrl-C would be ignored
        os.execve(sys.executable, [sys.executable, *words.split()], environment)
    screen, unexpected, left, begun = "", [], list(dialogue), time.monotonic()
    while time.monotonic() - begun < LONGEST_S:
        if not select.select([descriptor], [], [], LONGEST_S)[0]:
            os.kill(program, signal.SIGKILL)
            break
        try:
            piece = os.read(descriptor, 4096)
        except OSError:  # the program has ended
            break
        if not piece:
            break
        screen += piece.decode("utf-8", "replace")
        if screen.endswith("]: "):
            expected, answer = left.pop(0) if left else ("no more questions", CTRL_C)
            question = screen.rsplit("\n", 1)[-1]
            unexpected += [question] if expected not in question else []
            os.write(descriptor, answer.encode() if answer == CTRL_C else f"{answer}\n".encode())
            screen += " "
    status = os.waitpid(program, 0)[1]
    os.close(descriptor)
    return os.waitstatus_to_exitcode(status), screen, unexpected


def test_a_stranger_walks_from_an_empty_folder_to_a_plan(tmp_path):
    """FINDINGS A (a): every form that once ended in a traceback or a riddle; wrong answers are asked again."""
    code, screen, unexpected = walked(tmp_path, [*DIALOGUE[:9], ("Outside walls", CTRL_C)])
    assert (code, unexpected) == (130, []), screen
    assert "Traceback" not in screen
    assert "goes on with them" in screen
    assert not (tmp_path / "my.toml").exists()
    code, screen, unexpected = walked(tmp_path, DIALOGUE[9:])
    assert (code, unexpected) == (0, []), screen
    assert "did you mean 'lettuce'" in screen
    assert "does not fit the room" in screen
    assert '"17 cents"' in screen
    assert [path.name for path in tmp_path.iterdir()] == ["my.toml"]  # the draft is gone
    plan = read_plan(tmp_path / "my.toml")
    assert plan.keep.species == ("goldfish", "lettuce")
    assert plan.tanks[0].water_m3 == pytest.approx(275 * 3.785411784e-3, rel=0.01)  # NIST SP 811, the US gallon
    assert plan.tanks[0].surface_m2 == pytest.approx(48 * 40 * 0.0254**2)
    assert (plan.beds[0].count, plan.power.price, plan.power.circuits[0]) == (2, 0.17, "15 A 120 V")
    assert plan.source["climate"]["monthly_mean"][1] == -6.5
    house = next(side for side in plan.room.sides if side.name == "wall to the house")
    door = next(side for side in plan.room.sides if side.name == "door to the house")
    assert house.area_m2 + door.area_m2 == pytest.approx(24 * 9 * 0.3048**2, rel=0.01)
    head = (tmp_path / "my.toml").read_text("utf-8").split("title =")[0]
    assert "33.1 in, from its volume, 275 gal" in head
    assert "Cover on the tank: open (" in head
