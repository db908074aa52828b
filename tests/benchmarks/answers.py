"""Shows that two checkouts give the same answers: every number in the JSON of every command on every example plan.

    python tests/benchmarks/answers.py OLD NEW [--plans FOLDER] [--relative 1e-9] [--watts 0] [--hours 0]

OLD and NEW are checkouts, or folders that an earlier call of this script filled (`--keep FOLDER`). Texts are left out.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import re
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

COMMANDS = ("run", "heater", "compare", "outage", "spread", "check")


def answers(tree: Path, plans: list[Path], commands: tuple[str, ...], out: Path) -> None:
    """Run the commands of a checkout on plans; the JSON of each as `PLAN.COMMAND.json` in a folder."""
    out.mkdir(parents=True, exist_ok=True)
    environment = {**os.environ, "PYTHONPATH": str(tree)}
    for plan in plans:
        for command in commands:
            words = [
                sys.executable,
                "-m",
                "thermal",
                command,
                str(plan),
                "--json",
                str(out / f"{plan.stem}.{command}.json"),
            ]
            with tempfile.TemporaryDirectory() as folder:
                subprocess.run(words, cwd=folder, env=environment, check=True, capture_output=True)


def numbers(value: Any, path: str = "") -> Iterator[tuple[str, float]]:
    """Every number of a JSON document with its place in it; true and false count as 1 and 0."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield from numbers(part, f"{path}.{key}")
    elif isinstance(value, list):
        for index, part in enumerate(value):
            yield from numbers(part, f"{path}[{index}]")
    elif isinstance(value, int | float):
        yield path, float(value)


def allowed(path: str, old: float, limits: argparse.Namespace) -> float:
    """How far a number may be off."""
    leaf = path.rsplit(".", 1)[-1]
    if leaf.startswith("closure"):
        return math.inf  # a remainder of rounding, checked in every run against its own limit
    extra = limits.hours if "hours" in leaf or leaf.endswith("_h") else limits.watts if leaf.endswith("_w") else 0.0
    return max(limits.relative * abs(old), extra, limits.absolute)


def main() -> None:
    """Compare and exit 1 at a difference."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("old", type=Path)
    parser.add_argument("new", type=Path)
    parser.add_argument("--plans", type=Path, default=Path(__file__).resolve().parents[2] / "thermal/plan/examples")
    parser.add_argument("--only", nargs="*", default=None, help="stems of the plans")
    parser.add_argument("--commands", nargs="*", default=COMMANDS)
    parser.add_argument("--relative", type=float, default=1e-9)
    parser.add_argument("--absolute", type=float, default=1e-12, help="what counts as nothing, such as ice near 0 degC")
    parser.add_argument("--watts", type=float, default=0.0)
    parser.add_argument("--hours", type=float, default=0.0)
    parser.add_argument("--keep", type=Path, help="keep the new answers here")
    limits = parser.parse_args()
    plans = [plan for plan in sorted(limits.plans.glob("*.toml")) if not limits.only or plan.stem in limits.only]
    with tempfile.TemporaryDirectory() as work:
        folders = []
        for name, tree in (("old", limits.old), ("new", limits.new)):
            folder = tree
            if (tree / "thermal").is_dir():
                folder = limits.keep if limits.keep and name == "new" else Path(work) / name
                answers(tree.resolve(), plans, tuple(limits.commands), folder.resolve())
            folders.append(folder)
        sys.exit(1 if differences(folders[0], folders[1], plans, limits) else 0)


def differences(old: Path, new: Path, plans: list[Path], limits: argparse.Namespace) -> int:
    """Print every number that is off or stands in one only; how many there are."""
    count, off, worst, added = 0, 0, 0.0, Counter[str]()
    for plan in plans:
        for command in limits.commands:
            pair = [json.loads((folder / f"{plan.stem}.{command}.json").read_text("utf-8")) for folder in (old, new)]
            before, after = (dict(numbers(document)) for document in pair)
            for path in sorted(before.keys() | after.keys()):
                count += 1
                if path not in before:
                    added[re.sub(r"\[\d+\]", "[]", path)] += 1
                    continue
                if path not in after:
                    print(f"{plan.stem} {command} {path}: gone")
                    off += 1
                    continue
                gap = abs(after[path] - before[path])
                if not gap <= allowed(path, before[path], limits):
                    print(f"{plan.stem} {command} {path}: {before[path]!r} -> {after[path]!r}")
                    off += 1
                elif abs(before[path]) > limits.absolute and not path.rsplit(".", 1)[-1].startswith("closure"):
                    worst = max(worst, gap / abs(before[path]))
    print(*(f"new: {path} ({times} times)" for path, times in added.items()), sep="\n", end="\n" if added else "")
    asked = f"{count} numbers of {len(plans)} plans and {len(limits.commands)} commands"
    print(f"{asked}: {off} differ; worst relative deviation of the others {worst:.1e}")
    return off


if __name__ == "__main__":
    main()
