"""Pipes in the network: where their heat goes, when, and how much, against an outside library."""

from __future__ import annotations

import math

import ht
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from thermal.network.pipes import mean_conductance, running_conductance
from thermal.plan.reader import plan_of

PIPE = {"length": "10 m", "diameter": "40 mm"}
HUT = {"length": "3 m", "width": "3 m", "height": "2 m"}


def piped(workshop, pipe=PIPE, **tables):
    return plan_of({**workshop, "measure": [], "pipe": [pipe], **tables})


def links_of(case):
    network = case.network
    pairs = [tuple(sorted((network.nodes[i], network.nodes[j]))) for i, j in network.links]
    return dict(zip(pairs, network.link_w_per_k[:, 0], strict=True))


def test_ten_metres_in_air_of_a_given_temperature_need_what_ht_says(case_with):
    """Room at 0 degC, thermostat at 10: the heater's watts more with the pipe, by ht and CoolProp within 3 %."""
    given = {"room.temperature": "0 degC", "keep.thermostat": "10 degC", "keep.floor": "10 degC", "pipe": []}
    watts = []
    for pipes in ([], [PIPE]):
        case = case_with({**given, "pipe": pipes})
        run = case.simulate(case.heaters(np.array([5000.0])), hourly_output=True)
        watts.append(run.hourly_output.heater_w[2000:4400, 0].mean())
    nu = PropsSI("V", "T", 278.15, "P", 101325, "Air") / PropsSI("D", "T", 278.15, "P", 101325, "Air")
    pr, k = (PropsSI(name, "T", 278.15, "P", 101325, "Air") for name in ("PRANDTL", "L"))
    h = ht.Nu_horizontal_cylinder_Churchill_Chu(pr, 9.80665 / 278.15 * 10.0 * 0.04**3 / nu**2) * k / 0.04
    h += ht.radiation.q_rad(0.9, 283.15, 273.15) / 10.0
    assert watts[1] - watts[0] == pytest.approx(h * math.pi * 0.04 * 10.0 * 10.0, rel=0.03)


@pytest.mark.parametrize(
    ("hut", "where", "air"), [(None, "system", "air"), (HUT, "system", "hut"), (HUT, "room", "air")]
)
def test_the_heat_goes_to_the_air_around_the_pipe(case_with, hut, where, air):
    settings = {} if hut is None else {"hut": hut}
    without, with_it = case_with(settings), case_with({**settings, "pipe": [{**PIPE, "where": where}]})
    before, after = links_of(without), links_of(with_it)
    pair = (air, "tank")
    assert after[pair] - before.get(pair, 0.0) == pytest.approx(mean_conductance(with_it.plan, with_it.plan.pipes[0]))
    assert {key for key in after if after[key] != before.get(key)} == {pair}
    tank = with_it.network.nodes.index("tank")
    added = with_it.network.capacity_j_per_k[tank, 0] - without.network.capacity_j_per_k[tank, 0]
    litres = 0.8 * math.pi / 4.0 * 0.4**2 * 100.0
    assert added == pytest.approx(litres * 4190.0, rel=2e-3)
    assert with_it.plan.water_m3 - without.plan.water_m3 == pytest.approx(litres / 1000.0)


@pytest.mark.parametrize(
    ("pump", "share"),
    [({"hours": "always"}, 1.0), ({"hours": "06:00-18:00"}, 0.5), ({"hours": "never"}, 0.0), ({"flow": "0 L/h"}, 0.0)],
)
def test_a_pipe_loses_heat_while_the_pump_runs(workshop, pump, share):
    workshop["pump"] |= pump
    plan = piped(workshop)
    always = piped(workshop, pump={**workshop["pump"], "hours": "always", "flow": "1500 L/h"})
    assert mean_conductance(plan, plan.pipes[0]) == pytest.approx(
        share * running_conductance(always, always.pipes[0]), rel=1e-2
    )


def test_foam_saves_two_thirds(workshop):
    """13 mm of foam on 40 mm, by hand: ln(66/40)/(2 pi 0.04) + 1/(pi 0.066 h), h 7 to 8 W/m2K."""
    bare, foamed = piped(workshop), piped(workshop, {**PIPE, "insulation": "pipe foam 13 mm"})
    per_metre = running_conductance(foamed, foamed.pipes[0]) / 10.0
    layers = math.log(66.0 / 40.0) / (2.0 * math.pi * 0.04)
    low, high = (1.0 / (layers + 1.0 / (math.pi * 0.066 * h)) for h in (7.0, 8.0))
    assert low < per_metre < high
    assert running_conductance(foamed, foamed.pipes[0]) < 0.4 * running_conductance(bare, bare.pipes[0])
