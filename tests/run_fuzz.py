"""Run many plans and files at random, in parts, and count how the commands ended.

    python -m tests.run_fuzz --plans 20000 --files 2000 --seed 1 --folder found
    python -m tests.run_fuzz --plans 20000 --files 2000 --seed 1 --folder found --seconds 560   (as many as fit)

Two thirds of the plans are ready plans with some keys changed or gone, a third is what the JSON Schema allows. Each is
checked; every faulty one and a quarter of the others go through one more command. The files are weather files,
loggers' files, tables and answers to `start`'s questions. A case is wrong where its command ends with another code than
0 or 2, hangs, takes too much memory or prints no numbers. Every wrong case is kept in the folder with what it said;
`counts.json` there adds up over the parts. Exits 1 where a case of this part was wrong.
"""

from __future__ import annotations

import argparse
import collections
import contextlib
import hashlib
import json
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import hypothesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests import fuzz, test_fuzz
from tests.fuzz_files import FILE_CASES, tables
from tests.schema_plans import plans_by_schema
from thermal.plan.reader import schema

HANG_S = 600.0  # by the clock, since other processes take their share; processor time is judged at 60 s
SLOWEST = 10
ANSWERED = (
    4  # one in so many sound plans goes through a command that answers; every faulty one through one that must not
)


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
    slowest: list[tuple[float, str]] = field(default_factory=list)
    largest: list[tuple[float, str]] = field(default_factory=list)
    distinct: set[str] = field(default_factory=set)
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
        for name in ("plan.toml", "given.csv", "given.jsonl", "arguments.txt"):
            if (place / name).exists():
                shutil.copy(place / name, kept / name)
        (kept / "said.txt").write_text(said, "utf-8", "replace")
        print(f"WRONG {what}: {said.strip().splitlines()[-1][:200] if said.strip() else ''}", flush=True)

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
            "cases": sum(ends.values()),
            "plans": before.get("plans", 0) + self.plans,
            "distinct": before.get("distinct", 0) + len(self.distinct),
            "wrong": before.get("wrong", 0) + self.wrong,
            **lists,
        }
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
    digest = hashlib.sha256(what.encode() + content).hexdigest()
    if digest in tally.distinct:
        return None
    tally.distinct.add(digest)
    for name in ("plan.toml", "given.csv", "given.jsonl", "arguments.txt"):
        (place / name).unlink(missing_ok=True)
    begun, held = test_fuzz.processor_s(), test_fuzz.memory_kib("VmRSS")
    test_fuzz.forget_peak()
    code = None
    try:
        with hang_watched():
            code = run()
        tally.ends[f"{what}: exit {code}"] += 1
    except (Exception, Hung):
        tally.ends[f"{what}: WRONG"] += 1
        tally.keep(what, place, traceback.format_exc())
    grown = (test_fuzz.memory_kib("VmHWM") - held) / 1024.0
    tally.note(what, test_fuzz.processor_s() - begun, grown)
    return code


def drawn(count: int, seed: int, strategies: dict[str, Any], case: Callable[..., None]) -> None:
    """Call a case with so many draws, the same for the same seed."""

    if not count:
        return

    @hypothesis.seed(seed)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(**strategies)
    def each(**values: Any) -> None:
        case(**values)

    each()


def run_plans(tally: Tally, place: Path, count: int, seed: int) -> None:
    """Plans at random: two thirds changed ready plans, a third of the schema."""
    commands = st.sampled_from([name for name in test_fuzz.COMMANDS if name != "check"])

    def changed(document: dict[str, Any], command: str) -> None:
        text = fuzz.toml(document).encode("utf-8", "replace")
        tally.plans += 1
        code = tried(tally, place, "check", text, lambda: test_fuzz.judged(place, text, "check"))
        if code is not None and (code != 0 or hashlib.sha256(text).digest()[0] % ANSWERED == 0):
            tried(tally, place, command, text, lambda: test_fuzz.judged(place, text, command))

    by_schema = [plans_by_schema(schema(), number) for number in range(seed % 8, seed % 8 + 2)]
    allowed = test_fuzz.plans_of_the_schema(st.one_of(*by_schema))
    third = count // 3
    drawn(third, seed, {"document": allowed, "command": commands}, changed)
    drawn(count - third, seed, {"document": test_fuzz.plans(), "command": commands}, changed)


def as_json(value: Any) -> bytes:
    """A value as JSON."""
    return json.dumps(value).encode()


def run_files(tally: Tally, place: Path, count: int, seed: int) -> None:
    """Files at random, as many of each kind."""

    def case(what: str, raw: bytes, data: st.DataObject | None = None) -> None:
        tried(tally, place, what, raw, lambda: FILE_CASES[what](place, raw))

    strategies = {
        "weather file": fuzz.broken_csv(),
        "log": fuzz.broken_csv(fuzz.short_log),
        "table": fuzz.broken_csv(tables),
        "start": st.lists(st.tuples(st.integers(0, 99), fuzz.LEAVES.map(str)), max_size=6).map(as_json),
    }
    for number, (what, strategy) in enumerate(strategies.items()):
        share = (count + number) // len(strategies)
        drawn(share, seed, {"what": st.just(what), "raw": strategy}, case)


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
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
        (place / "log.csv").write_text(fuzz.short_log(), "utf-8")
        os.chdir(place)
        try:
            run_files(tally, place, given_.files, given_.seed)
            run_plans(tally, place, given_.plans, given_.seed)
        except Over:
            print("the time of this part is over")
        finally:
            os.chdir(before)
    print(json.dumps(tally.summed(), indent=1))
    return int(tally.wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
