from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from loky import get_reusable_executor

from thermal.analysis.plan_weather import scene_of
from thermal.plan.reader import plan_of
from thermal.solver.results import OutputRequest
from thermal.solver.simulate import simulate, simulate_parallel


def test_a_study_runs_on_threads_as_on_processes(workshop):
    case = scene_of(plan_of({**workshop, "measure": []}))
    watts = np.linspace(0.0, 1500.0, 300)
    network, control = case.network.take(np.zeros(300, dtype=int)), case.heaters(watts)
    short = replace(case.forcing, end_h=np.full(3, 24 * 20), marks=np.zeros((0, 3), dtype=int))
    with ThreadPoolExecutor(2) as pool:
        spread = simulate_parallel(network, short, control, 10.0, executor=pool)
    whole = simulate(network, short, control, 10.0)
    assert spread.coldest_c == pytest.approx(whole.coldest_c, abs=1e-9)
    assert simulate_parallel(network, short, control, 10.0).heater_j == pytest.approx(whole.heater_j, rel=1e-9)


def test_a_study_runs_on_another_librarys_executor(workshop):
    """loky's reusable pool of processes, pickled by cloudpickle: what a cluster's executor would ask of a block."""
    case = scene_of(plan_of({**workshop, "measure": []}))
    network, control = case.network.take(np.zeros(130, dtype=int)), case.heaters(np.linspace(0.0, 1500.0, 130))
    short = replace(case.forcing, end_h=np.full(3, 24 * 20), marks=np.zeros((0, 3), dtype=int))
    seen = []

    def progress(runs, count):
        for run in runs:
            seen.append(count)
            yield run

    pool = get_reusable_executor(max_workers=2)
    try:
        spread = simulate_parallel(network, short, control, 10.0, executor=pool, progress=progress)
    finally:
        pool.shutdown()
    assert seen == [2, 2]
    assert spread.coldest_c == pytest.approx(simulate(network, short, control, 10.0).coldest_c, abs=1e-9)


def test_a_design_alone_in_its_winter_is_the_same_as_in_every_winter(workshop):
    """Prices by winter too, which are looked up for the winter of each column."""
    case = scene_of(plan_of({**workshop, "measure": []}))
    network, control = case.network.take(np.zeros(3, dtype=int)), case.heaters(np.array([200.0, 600.0, 900.0]))
    short = replace(case.forcing, end_h=np.full(3, 24 * 25), marks=np.full((1, 3), 24 * 22))
    wanted = OutputRequest(weights=np.random.default_rng(1).random((1, *short.outdoor_c.shape)), damp=True)
    whole = simulate(network, short, control, 10.0, request=wanted)
    winter = np.array([2, 0, 2])
    alone = simulate_parallel(network, short, control, 10.0, request=wanted, winter=winter)
    for name in ("coldest_c", "heater_j", "weighted_j", "damp_h"):
        own = getattr(whole, name)[..., np.arange(3), winter]
        assert getattr(alone, name)[..., 0] == pytest.approx(own, rel=1e-6), name
        assert not (own == getattr(whole, name)[..., np.arange(3), 1]).all() or name == "damp_h", name
