"""How long packages and draws take, all winters of the demo's climate, on as many processes as there are cores.

    python tests/benchmarks/design_study.py

Prints packages, packages_s (a study of every subset of eight measures) and draws, draws_s
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

from thermal.analysis.comparison_results import DesignResult  # noqa: E402
from thermal.analysis.design_study import (  # noqa: E402
    DesignStudy,
    collect_study,
    design_study,
    submit_study,
    uncertainty_of,
)
from thermal.analysis.plan_weather import scene_of  # noqa: E402
from thermal.core.parallel import CORES, processes  # noqa: E402
from thermal.plan.reader import plan_of, read_document  # noqa: E402

PLAN = Path(__file__).resolve().parents[2] / "thermal" / "plan" / "examples" / "workshop.toml"
DRAWS = 200
MORE = (  # beside the demo's own measures, to make eight
    {"name": "25 mm foam under the beds", "cost": 25, "set": {"bed.stands_on": "XPS 25 mm on slab"}},
    {"name": "half a kelvin less", "cost": 10, "set": {"keep.thermostat": "10.5 degC"}},
)


def simulate(study: DesignStudy, pool: Executor) -> list[DesignResult]:
    """The study on every core."""
    return collect_study(study, submit_study(study, pool, CORES))


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
    case = scene_of(plan_of({**document, "measure": [*document["measure"], *MORE][:8]}))
    packages, drawn = design_study(case, comparison=True), design_study(case, samples=DRAWS)
    found = {
        "packages": len(packages.packages),
        "packages_s": taken_s(lambda pool: simulate(packages, pool), options.repeats),
        "draws": DRAWS,
        "draws_s": taken_s(lambda pool: uncertainty_of(drawn, simulate(drawn, pool)), options.repeats),
    }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
