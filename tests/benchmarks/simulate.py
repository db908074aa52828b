"""How fast the solver is, full physics, one core.

    python tests/benchmarks/simulate.py --json -

Prints designs, hours, ns_per_design_hour (2,048 designs through one winter), one_winter_s (one design) and
solve_ivp_ratio (scipy's integrator over the solver, the same design and days). Best of several runs, taken by turns: a
shared machine is slow for reasons of its own, for seconds or minutes on end.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np  # noqa: E402

from thermal.analysis.case import SimulationCase  # noqa: E402
from thermal.analysis.plan_weather import scene_of  # noqa: E402
from thermal.climate.forcing import Forcing  # noqa: E402
from thermal.network.model import thermostat  # noqa: E402
from thermal.plan.reader import plan_of, read_document  # noqa: E402
from thermal.solver.simulate import simulate  # noqa: E402

PLAN = Path(__file__).resolve().parents[2] / "thermal" / "plan" / "examples" / "workshop.toml"
DESIGNS = 2048


def workshop() -> SimulationCase:
    """The demo plan in its one whole winter."""
    document = {**read_document(PLAN), "measure": []}
    document["climate"] = {"series": "springfield-il", "winters": [2016]}
    return scene_of(plan_of(document))


def best(runs: list[Callable[[], object]], repeats: int) -> list[float]:
    """Shortest time of each run, all of them by turns. [s]"""
    times: list[list[float]] = [[] for _ in runs]
    for _ in range(repeats):
        for run, taken in zip(runs, times, strict=True):
            start = time.perf_counter()
            run()
            taken.append(time.perf_counter() - start)
    return [min(taken) for taken in times]


def first_days(forcing: Forcing, days: int) -> Forcing:
    """The first days of a drive, spin-up included."""
    return replace(forcing, end_h=np.array([24 * days]), marks=np.zeros((0, 1), dtype=int))


def solve_ivp_s(case: SimulationCase, days: int) -> float:
    """Time of scipy's integrator for one design over some days. [s]"""
    from scipy.integrate import solve_ivp

    from tests.laws.test_accuracy import Continuous

    model = Continuous(case.network, replace(case.forcing, spin_up_h=0), 11.0, np.array([600.0]))
    y = np.concatenate([np.full(6, 12.0), [0.006, 0.0]])
    start = time.perf_counter()
    for hour in range(24 * days):
        model.hour = hour
        y = solve_ivp(model.rates, (0.0, 3600.0), y, method="LSODA", rtol=1e-9, atol=1e-8).y[:, -1]
    return time.perf_counter() - start


def measured(designs: int, repeats: int) -> dict[str, float]:
    """All figures."""
    case = workshop()
    hours = int(case.forcing.end_h.max())
    many = case.network.take(np.zeros(designs, dtype=int))
    watts = np.linspace(0.0, 1500.0, designs)
    days = 5
    short = first_days(replace(case.forcing, spin_up_h=0), days)
    batch_s, one_s, same_s = best(
        [
            lambda: simulate(many, case.forcing, thermostat(11.0, watts), 10.0),
            lambda: simulate(case.network, case.forcing, thermostat(11.0, 600.0), 10.0),
            lambda: simulate(case.network, short, thermostat(11.0, 600.0), 10.0),
        ],
        repeats,
    )
    return {
        "designs": designs,
        "hours": hours,
        "ns_per_design_hour": round(1e9 * batch_s / (designs * hours), 1),
        "one_winter_s": round(one_s, 3),
        "solve_ivp_ratio": round(solve_ivp_s(case, days) / same_s, 1),
    }


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--json", default="-", metavar="FILE")
    parser.add_argument("--designs", type=int, default=DESIGNS)
    parser.add_argument("--repeats", type=int, default=40)
    options = parser.parse_args()
    text = json.dumps(measured(options.designs, options.repeats))
    if options.json == "-":
        print(text)
    else:
        Path(options.json).write_text(text + "\n", "utf-8")


if __name__ == "__main__":
    main()
