"""Heat in proportion to further columns of the weather: sun and sky on any node."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.solver.test_reference import HOURS, assert_networks_agree, case_of, coldest_fortnight, control_of
from thermal.climate.forcing import Forcing
from thermal.network.model import Network, join_networks, thermostat
from thermal.solver.simulate import simulate

PRESSURE = 101325.0


def with_gains(network: Network, places: dict[tuple[str, int], float]) -> Network:
    gains = tuple((network.nodes.index(name), column) for name, column in places)
    return replace(network, gains=gains, gain_w=np.repeat(np.array([*places.values()])[:, None], network.designs, 1))


def some_columns(hours: int, winters: int = 1) -> np.ndarray:
    """A day's sun, a sky that takes heat at all hours, and a column that nothing uses."""
    hour = np.arange(hours)[:, None] + np.arange(winters)
    sun = np.maximum(np.sin((hour % 24 - 7) / 10.0 * np.pi), 0.0) * 500.0 * (1.0 + 0.1 * np.arange(winters))
    return np.stack([sun, np.full_like(sun, np.nan), -40.0 + 5.0 * np.cos(hour)], axis=1)


@pytest.mark.parametrize("name", ["garage-metric", "heated leaky room", "heated hut"])
def test_the_tuned_solver_is_the_reference_under_sun_and_sky(name):
    case = case_of(name)
    places = {("slab", 0): 1.5, ("fabric", 2): 2.0, ("fabric", 0): 0.4, ("air", 0): 0.5, ("tank", 2): 0.2}
    network = with_gains(case.network, places).take(np.zeros(2, dtype=int))
    forcing = replace(coldest_fortnight(case.forcing), columns=some_columns(HOURS))
    assert_networks_agree(name, network, forcing, control_of(2))
    heaters = control_of(3).take(np.array([2, 2]))
    dark = simulate(network, replace(forcing, columns=None), heaters, 5.0)
    light = simulate(network, forcing, heaters, 5.0)
    assert abs(light.heater_j / dark.heater_j - 1.0)[0, 0] > 0.01


def body(capacity_j_per_k: float, w_per_k: float, gain_w: float) -> Network:
    one = np.ones((1, 1))
    zero = np.zeros((24, 1, 1))
    return Network(
        ("body",), capacity_j_per_k * one, (), np.zeros((0, 1)), w_per_k * one, 0 * one, zero, np.zeros((2, 1, 1)),
        gains=((0, 0),), gain_w=gain_w * one,
    )  # fmt: skip


def steady(outdoor_c: float, columns: np.ndarray) -> Forcing:
    shape = (len(columns), columns.shape[-1])
    zero = np.zeros(shape)
    ends = np.full(shape[1], shape[0])
    return Forcing(
        zero + outdoor_c, zero, zero, zero, zero, PRESSURE, 0, ends, np.zeros((0, shape[1]), int), columns=columns
    )


@pytest.mark.parametrize("substeps", [1, 4])
def test_a_steady_gain_warms_a_body_by_gain_over_conductance(substeps):
    """T = T_out + G I/UA in the end: closed form."""
    forcing = steady(-5.0, np.full((24 * 10, 1, 1), 300.0))
    run = simulate(
        body(1e5, 10.0, 0.5), forcing, thermostat(-99.0, 0.0), 0.0, substeps=substeps, hourly_output=True,
        start_c=np.array([[-5.0]]),
    )  # fmt: skip
    assert run.hourly_output.mean_c[-1, 0, 0] == pytest.approx(-5.0 + 0.5 * 300.0 / 10.0, abs=1e-6)


def test_every_column_of_a_batch_is_the_design_alone():
    """Two designs in three winters, each with its own sun."""
    forcing = steady(2.0, some_columns(24 * 4, 3)[:, :1])
    both = join_networks([body(2e5, 8.0, 0.3), body(3e5, 6.0, 0.2)])
    batch = simulate(both, forcing, thermostat(np.array([12.0, 12.0]), 300.0), 10.0)
    for design, gain in enumerate((0.3, 0.2)):
        for winter in range(3):
            own = steady(2.0, forcing.columns[:, :, winter : winter + 1])
            alone = simulate(body((2e5, 3e5)[design], (8.0, 6.0)[design], gain), own, thermostat(12.0, 300.0), 10.0)
            assert alone.heater_j[0, 0] == pytest.approx(batch.heater_j[design, winter], rel=1e-12)
    assert len(set(batch.heater_j.ravel())) == 6
