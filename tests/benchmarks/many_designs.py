"""A study of 100,000 design-winters on all cores: time, memory, and what the second core brings.

    python tests/benchmarks/many_designs.py [--designs 33334]

Springfield's three winters, so designs times three; each design a heater of its own.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np  # noqa: E402
from rich.console import Console  # noqa: E402
from rich.progress import track  # noqa: E402

from thermal.analysis.plan_weather import scene_of  # noqa: E402
from thermal.network.model import thermostat  # noqa: E402
from thermal.plan.reader import plan_of, read_document  # noqa: E402
from thermal.solver.simulate import simulate_parallel  # noqa: E402

PLAN = Path(__file__).resolve().parents[2] / "thermal" / "plan" / "examples" / "workshop.toml"


def measured(designs: int, worker_count: int) -> float:
    """Seconds for a study on some processes."""
    case = scene_of(plan_of({**read_document(PLAN), "measure": []}))
    many = case.network.take(np.zeros(designs, dtype=int))
    control = thermostat(11.0, np.linspace(0.0, 1500.0, designs))
    console = Console(stderr=True)
    start = time.perf_counter()
    with ProcessPoolExecutor(worker_count) as pool:
        simulate_parallel(
            many, case.forcing, control, 10.0, executor=pool,
            steps=lambda runs, count: track(runs, f"{worker_count} process(es)", total=count, console=console),
        )  # fmt: skip
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--designs", type=int, default=33334)
    options = parser.parse_args()
    both = measured(options.designs, 2)
    single = measured(options.designs // 4, 1) / (options.designs // 4) * options.designs
    peak = [resource.getrusage(who).ru_maxrss / 1024.0 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    found = {
        "design_winters": 3 * options.designs,
        "two_processes_s": round(both, 1),
        "one_process_s": round(single, 1),
        "ratio": round(single / both, 2),
        "parent_mib": round(peak[0]),
        "largest_worker_mib": round(peak[1]),
    }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
