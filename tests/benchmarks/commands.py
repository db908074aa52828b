"""How long whole commands take, start of Python included: `--help`, `demo`, and `compare` with eight measures.

    python tests/benchmarks/commands.py

Prints help_s, demo_s and compare_s, every run of each, taken by turns.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MORE = """
[[measure]]
name = "25 mm foam under the beds"
cost = 25
set = { "bed.stands_on" = "XPS 25 mm on slab" }

[[measure]]
name = "half a kelvin less"
cost = 10
set = { "keep.thermostat" = "10.5 degC" }
"""  # beside the demo's own six


def taken_s(command: list[str], folder: str) -> float:
    """Seconds of one run that goes well."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "thermal", *command],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        check=True,
    )
    return round(time.perf_counter() - start, 2)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--repeats", type=int, default=5)
    options = parser.parse_args()
    commands = {"help_s": ["--help"], "demo_s": ["demo"], "compare_s": ["compare", "eight.toml"]}
    found: dict[str, list[float]] = {name: [] for name in commands}
    with tempfile.TemporaryDirectory() as folder:
        plan = (ROOT / "thermal" / "plan" / "examples" / "workshop.toml").read_text("utf-8")
        (Path(folder) / "eight.toml").write_text(plan + MORE, "utf-8")
        for _ in range(options.repeats):
            for name, command in commands.items():
                found[name].append(taken_s(command, folder))
    print(json.dumps(found))


if __name__ == "__main__":
    main()
