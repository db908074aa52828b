"""How long packages and draws take, all winters of the demo's climate, on as many processes as there are cores.

    python tests/benchmarks/decisions.py

Prints packages, packages_s (`design_results` of every subset of eight measures) and draws, draws_s
(`uncertainty_of`); the time of reading the plan and its climate is not in them.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from thermal.analysis.case import scene_of  # noqa: E402
from thermal.analysis.design_results import design_results  # noqa: E402
from thermal.analysis.measure_packages import package_plans  # noqa: E402
from thermal.analysis.uncertainty import uncertainty_of  # noqa: E402
from thermal.plan.reader import plan_of, read_document  # noqa: E402
from thermal.solver.parallel import processes  # noqa: E402

PLAN = Path(__file__).resolve().parents[2] / "thermal" / "plan" / "examples" / "workshop.toml"
DRAWS = 200
MORE = (  # beside the demo's own measures, to make eight
    {"name": "25 mm foam under the beds", "cost": 25, "set": {"bed.stands_on": "XPS 25 mm on slab"}},
    {"name": "half a kelvin less", "cost": 10, "set": {"keep.thermostat": "10.5 degC"}},
)


def taken_s(work: Callable[[Executor], object], repeats: int) -> list[float]:
    """Seconds of several runs, each with processes of its own."""
    found = []
    for _ in range(repeats):
        with processes() as pool:
            start = time.perf_counter()
            work(pool)
            found.append(round(time.perf_counter() - start, 2))
    return found


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--repeats", type=int, default=3)
    options = parser.parse_args()
    document = read_document(PLAN)
    case = scene_of(plan_of(document))
    measures = [*document["measure"], *MORE][:8]
    plans = package_plans(plan_of({**document, "measure": measures}))
    found = {
        "packages": len(plans),
        "packages_s": taken_s(lambda pool: design_results(case, plans, pool), options.repeats),
        "draws": DRAWS,
        "draws_s": taken_s(lambda pool: uncertainty_of(case, DRAWS, 0, pool), options.repeats),
    }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
