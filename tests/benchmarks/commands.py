"""What whole commands cost in CPU seconds, start of Python and all processes included, beside another checkout.

    python tests/benchmarks/commands.py OTHER [--repeats 5] [--commands run heater]

Runs each command on this checkout and on OTHER by turns (A B, B A, ...), since one run wanders by a factor of two on a
shared machine, and prints the medians, their ratio and the middle half of the ratios of the pairs. A plan file may be
given for each checkout (`--plan THIS OTHER`), where one does not know the keys of the other.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COMMANDS = ("run", "compare", "heater", "outage", "spread", "check")
READY = "garage-lorraine"


def cpu_s(tree: Path, words: list[str]) -> float:
    """CPU seconds of one command of a checkout that goes well, its processes included."""
    with tempfile.TemporaryDirectory() as folder:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            [sys.executable, "-m", "thermal", *words],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(tree)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=True,
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def pair_line(command: str, this: list[float], other: list[float]) -> str:
    """Medians of a command on both checkouts, and their ratio."""
    ratios = sorted(mine / theirs for mine, theirs in zip(this, other, strict=True))
    quarter = len(ratios) // 4
    return (
        f"{command:8} {statistics.median(other):7.2f} s  {statistics.median(this):7.2f} s   ratio of pairs"
        f" {statistics.median(ratios):.2f} ({ratios[quarter]:.2f} to {ratios[-1 - quarter]:.2f})"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("other", type=Path)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--commands", nargs="+", default=list(COMMANDS))
    parser.add_argument("--plan", nargs=2, default=[READY, READY], metavar=("THIS", "OTHER"))
    parser.add_argument("--samples", nargs=2, default=["", ""], metavar=("THIS", "OTHER"), help="of `run`")
    options = parser.parse_args()
    trees = (ROOT, options.other.resolve())
    print(f"{'':8} {'other':>9}  {'this':>9}   CPU seconds")
    for command in options.commands:
        taken: tuple[list[float], list[float]] = [], []
        for repeat in range(options.repeats):
            for side in (0, 1) if repeat % 2 else (1, 0):
                samples = options.samples[side] if command == "run" else ""
                words = [command, options.plan[side], *(["--samples", samples] if samples else [])]
                taken[side].append(cpu_s(trees[side], words))
        print(pair_line(command, *taken), flush=True)


if __name__ == "__main__":
    main()
