"""Run many plans and files at random, in parts, and count how the commands ended.

    python -m tests.run_fuzz --plans 20000 --files 2000 --seed 1 --folder found
    python -m tests.run_fuzz --plans 20000 --files 2000 --seed 1 --folder found --seconds 560   (as many as fit)

What each case goes through:

- A plan is a ready plan with one to four keys changed or gone (two in three), or with one to three of its tables, or a
  few keys of them, as the JSON Schema allows them (one in three). Nine in ten have weather of 16 days, most others a
  month; one in a hundred has a bundled weather file of 22 winters. Each is checked. Every one that `check` refuses
  goes through one more command, which must refuse it too; of those that it takes, one in `ANSWERED` goes through one
  more, which answers. The one more is heater, outage, spread, table or a fit by hand; `run`, `compare` and a fit to a
  logger's file, which take seconds, are a sixth of them together.
- A file is a weather file (added, shown, planned with), a logger's file, a table, answers to `start`'s questions, or a
  town's monthly means.
- One command in ten has a worker process; the others do the work of workers in this process.

A case is wrong where its command ends with another code than 0 or 2, takes more than 60 s of processor time or a GiB
of memory, prints what is no number, or shows a warning of Python. Every wrong case is kept in the folder with what it
said; of the messages of faults, one in fifty is kept in `messages.txt`. `counts.json` adds up over the parts,
`seen.txt` holds what was run, so that no part runs a case again. Exits 1 where a case of this part was wrong.
"""

from __future__ import annotations

import argparse
import collections
import contextlib
import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any
from unittest import mock

from hypothesis import strategies as st

from tests import fuzz, test_fuzz
from tests.fuzz_draws import commands_built_once, drawn_by, weather_read_once, workers
from tests.fuzz_files import FILE_CASES, MEANS, tables, tables_with_changed_cells

HANG_S = 600.0  # by the clock, since other processes take their share; processor time is judged at 60 s
SLOWEST = 10
ANSWERED = 10  # one in so many sound plans goes through a command that answers
TABLES = 4  # one check in so many prints its tables, which takes twice its own time; the others print JSON
OFTEN = {"heater": 6, "outage": 6, "spread": 6, "table": 5, "steady": 2, "cooled": 2, "run": 2, "compare": 2, "fit": 1}
WEEKS = {"weeks.csv": 90, "hours.csv": 9, "springfield-il": 1}  # weather of the plans, and how often each
FILES = [
    "weather file",
    "table file",
    "start",
    "weather file",
    "start",
    "weather file",
    "table file",
    "means",
    "start",
    "log",
]
WORKERS = 10  # one case in so many has a worker process
KEPT = 50  # one message in so many is kept
GIVEN = ("plan.toml", "given.csv", "given.jsonl", "arguments.txt")


class Hung(BaseException):
    """A case did not end."""


class Over(BaseException):
    """The time of this part is over."""


@dataclass
class Tally:
    """What was run, by kind of case and exit code; the slowest and the largest cases, and the wrong ones."""

    folder: Path
    ends_at: float
    ends: collections.Counter[str] = field(default_factory=collections.Counter)
    took_ms: collections.Counter[str] = field(default_factory=collections.Counter)
    slowest: list[tuple[float, str]] = field(default_factory=list)
    largest: list[tuple[float, str]] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)
    new: list[str] = field(default_factory=list)
    said: str = ""
    wrong: int = 0
    plans: int = 0

    def note(self, what: str, seconds: float, mib: float) -> None:
        """Keep a case's time and memory if it is among the largest."""
        self.slowest = sorted([*self.slowest, (round(seconds, 1), what)], reverse=True)[:SLOWEST]
        self.largest = sorted([*self.largest, (round(mib), what)], reverse=True)[:SLOWEST]

    def keep(self, what: str, place: Path, said: str) -> None:
        """Copy the files of a wrong case, with what was said."""
        self.wrong += 1
        kept = self.folder / f"wrong-{time.time_ns()}-{what}"
        kept.mkdir(parents=True)
        for name in GIVEN:
            if (place / name).exists():
                shutil.copy(place / name, kept / name)
        (kept / "said.txt").write_text(said, "utf-8", "replace")
        print(f"WRONG {what}: {said.strip().splitlines()[-1][:200] if said.strip() else ''}", flush=True)

    def heard(self, ended: Callable[..., tuple[int, str, str]]) -> Callable[..., tuple[int, str, str]]:
        """A function that runs a command, remembering the last message of a fault."""

        def run(*arguments: str) -> tuple[int, str, str]:
            code, out, err = ended(*arguments)
            self.said = f"{arguments[0]}: {err}" if code == 2 else self.said
            return code, out, err

        return run

    def remember(self) -> None:
        """Read which cases earlier parts have run."""
        file = self.folder / "seen.txt"
        self.seen = set(file.read_text("utf-8").split()) if file.exists() else set()

    def summed(self) -> dict[str, Any]:
        """All parts' counts, written into the folder."""
        file = self.folder / "counts.json"
        before: dict[str, Any] = json.loads(file.read_text("utf-8")) if file.exists() else {}
        ends = collections.Counter(before.get("ends", {})) + self.ends
        lists = {
            name: sorted([*map(tuple, before.get(name, ())), *mine], reverse=True)[:SLOWEST]
            for name, mine in (("slowest_s", self.slowest), ("largest_mib", self.largest))
        }
        found = {
            "ends": dict(sorted(ends.items())),
            "took_ms": dict(sorted((collections.Counter(before.get("took_ms", {})) + self.took_ms).items())),
            "cases": sum(ends.values()),
            "plans": sum(number for what, number in ends.items() if what.startswith("check:")),
            "files": sum(number for what, number in ends.items() if what.split(":")[0] in FILE_CASES),
            "drawn_plans": before.get("drawn_plans", 0) + self.plans,
            "wrong": before.get("wrong", 0) + self.wrong,
            **lists,
        }
        with (self.folder / "seen.txt").open("a", encoding="utf-8") as seen:
            seen.writelines(f"{digest}\n" for digest in self.new)
        file.write_text(json.dumps(found, indent=1), "utf-8")
        return found


@contextlib.contextmanager
def hang_watched() -> Iterator[None]:
    """Raise `Hung` in what has not ended after `HANG_S`."""

    def raise_hung(*_signal: object) -> None:
        raise Hung(f"no end within {HANG_S:.0f} s")

    signal.signal(signal.SIGALRM, raise_hung)
    signal.setitimer(signal.ITIMER_REAL, HANG_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)


def tried(tally: Tally, place: Path, what: str, content: bytes, run: Callable[[], int]) -> int | None:
    """Run one case and write down how it ended; None where it was run before or was wrong."""
    if time.monotonic() > tally.ends_at:
        raise Over
    digest = hashlib.sha256(what.encode() + b"\0" + content).hexdigest()[:16]
    if digest in tally.seen:
        return None
    tally.seen.add(digest)
    tally.new.append(digest)
    for name in GIVEN:
        (place / name).unlink(missing_ok=True)
    chosen, tally.said = int(digest, 16), ""
    begun, held = test_fuzz.processor_s(), test_fuzz.memory_kib("VmRSS")
    test_fuzz.forget_peak()
    code = None
    try:
        with hang_watched(), workers(real=chosen % WORKERS == 0):
            code = run()
        tally.ends[f"{what}: exit {code}"] += 1
    except (Exception, Hung):
        tally.ends[f"{what}: WRONG"] += 1
        tally.keep(what, place, traceback.format_exc())
    if tally.said and chosen // WORKERS % KEPT == 0:
        with (tally.folder / "messages.txt").open("a", encoding="utf-8") as messages:
            messages.write(f"--- {tally.said}\n")
    grown = (test_fuzz.memory_kib("VmHWM") - held) / 1024.0
    seconds = test_fuzz.processor_s() - begun
    tally.note(what, seconds, grown)
    tally.took_ms[f"{what}: exit {code}"] += round(1000 * seconds)
    return code


def run_plans(tally: Tally, place: Path, count: int, seed: int) -> None:
    """Plans at random: two thirds changed ready plans, a third of the schema."""
    by_schema = st.integers(seed % 8, seed % 8 + 1).map(test_fuzz.by_schema)
    sources = [test_fuzz.plans(), test_fuzz.plans(), test_fuzz.plans_of_the_schema(by_schema)]
    for number in range(count):
        chance = random.Random(f"{seed} plan {number}")
        document = drawn_by(sources[number % len(sources)], f"{seed} plan {number}")
        with_weather(document, *chance.choices([*WEEKS], [*WEEKS.values()]))
        (command,) = chance.choices([*OFTEN], [*OFTEN.values()])
        text = fuzz.toml(document).encode("utf-8", "replace")
        tally.plans += 1
        json = "answer.json" if number % TABLES == 0 else "-"
        code = tried(tally, place, "check", text, partial(test_fuzz.judged, place, text, "check", json))
        if code == 2 or (code == 0 and chance.randrange(ANSWERED) == 0):
            tried(tally, place, command, text, partial(test_fuzz.judged, place, text, command))


def with_weather(document: dict[str, Any], name: str) -> None:
    """Give a plan other weather, unless what was drawn has changed it."""
    climate = document.get("climate")
    if isinstance(climate, dict) and climate.get("file") == "hours.csv":
        del climate["file"]
        climate["file" if name.endswith(".csv") else "series"] = name


def as_json(value: Any) -> bytes:
    """A value as JSON."""
    return json.dumps(value).encode()


def run_files(tally: Tally, place: Path, count: int, seed: int) -> None:
    """Files at random, of each kind as many as `FILES` says."""

    strategies = {
        "weather file": fuzz.broken_csv(),
        "log": fuzz.broken_csv(fuzz.short_log),
        "table file": fuzz.broken_csv(tables) | tables_with_changed_cells(),
        "start": st.lists(st.tuples(st.integers(0, 99), fuzz.LEAVES.map(str)), max_size=6).map(as_json),
        "means": MEANS.map(as_json),
    }
    for number in range(count):
        what = FILES[number % len(FILES)]
        raw = drawn_by(strategies[what], f"{seed} file {number}")
        tried(tally, place, what, raw, partial(FILE_CASES[what], place, raw))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plans", type=int, default=20_000)
    parser.add_argument("--files", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=float("inf"))
    parser.add_argument("--folder", type=Path, default=Path("fuzz-found"))
    given_ = parser.parse_args()
    tally = Tally(given_.folder.resolve(), time.monotonic() + given_.seconds)
    tally.folder.mkdir(parents=True, exist_ok=True)
    tally.remember()
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
        (place / "weeks.csv").write_text(fuzz.short_weeks(), "utf-8")
        (place / "log.csv").write_text(fuzz.short_log(), "utf-8")
        os.chdir(place)
        try:
            for kind in (UserWarning, RuntimeWarning):
                warnings.simplefilter("always", kind)  # Python shows each once otherwise
            with commands_built_once(), mock.patch.object(fuzz, "ended", tally.heard(fuzz.ended)):
                run_files(tally, place, given_.files, given_.seed)
                with weather_read_once("weeks.csv", "hours.csv"):
                    run_plans(tally, place, given_.plans, given_.seed)
        except Over:
            print("the time of this part is over")
        finally:
            os.chdir(before)
    print(json.dumps(tally.summed(), indent=1))
    return int(tally.wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
