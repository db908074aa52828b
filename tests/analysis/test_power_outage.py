from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from tests.analysis.test_assessment import constant_case
from tests.cli.test_cli import overwinter
from thermal.analysis.assessment import assess
from thermal.analysis.power_outage import hours_until, power_outage


def test_the_closed_form_of_lumped_cooling_comes_out(workshop):
    """T = T_a + (T_0 - T_a) exp(-t UA/C), textbook (Cengel eq. 4-4): hours to the floor within 1 %.

    A tank behind foam and a dry lid, so that UA is nearly all foam and does not change on the way.
    """
    workshop.pop("bed")
    settings = {
        "room.temperature": "0 degC", "keep.floor": "9 degC", "keep.thermostat": "12 degC", "pump.power": "0 W",
        "tank.insulation": "XPS 200 mm", "tank.top": "XPS 200 mm", "tank.stands_on": "XPS 200 mm on frame",
        "tank.water_depth": "0.2 m",
    }  # fmt: skip
    case = constant_case(workshop, 0.0, **settings)
    dry = replace(
        case.network,
        vessels=replace(case.network.vessels, evaporation=np.zeros((1, 1)), night_evaporation=np.zeros((1, 1))),
    )
    tank = replace(case.plan.tanks[0], evaporation=0.0, night_evaporation=0.0)
    case = replace(case, network=dry, plan=replace(case.plan, tanks=(tank,)))
    shown = case.simulate(case.heaters(np.array([0.0, 2000.0])), hourly_output=True)
    outage = power_outage(case, shown)
    area, foam, film = math.pi * 0.6**2, 0.2 / 0.033, 0.13  # a film is 2 % of the resistance
    ua = math.pi * 1.2 * 0.2 / (0.012 + foam + film) + area / (foam + film) + area / (0.012 + foam + 0.17)
    hours = tank.capacity_j_per_k / ua * math.log(12.0 / 9.0) / 3600.0
    print(f"{outage.to_floor.median:.2f} h, closed form {hours:.2f} h")
    assert outage.to_floor.median == pytest.approx(hours, rel=0.01)


def test_limits_are_met_between_hours_or_never():
    curve = np.array([[10.0, 10.0, 5.0], [9.0, 9.9, 4.0], [7.0, 9.8, 3.0]])
    assert list(hours_until(curve, 8.0)) == [1.5, np.inf, 0.0]


@pytest.fixture(scope="module")
def assessment(case_with):
    return assess(case_with({"keep.species": ["tilapia", "lettuce"]}))


def test_covers_buy_hours_and_beds_go_first(assessment):
    outage = assessment.outage
    assert outage.to_floor.worst < outage.to_floor.tenth < outage.to_floor.median
    assert outage.to_floor.worst < outage.with_lid.worst < outage.with_both.worst
    assert outage.with_blanket.worst > outage.to_floor.worst
    assert outage.bed_to_floor.worst < outage.to_floor.worst
    assert outage.lethal_c == 12.0
    assert outage.heat_wh_worst > outage.heat_wh_median > 0
    assert outage.air_pump_wh == 240.0


def test_oxygen_comes_first_in_every_outage_answer(tmp_path, workshop_text):
    (tmp_path / "plan.toml").write_text(workshop_text.replace('winters = "all"', "winters = [2016]"))
    said = overwinter("outage", "plan.toml", cwd=tmp_path)
    assert said.returncode == 0, said.stderr
    assert said.stdout.startswith("Power cut. Oxygen runs out first")
    card = (tmp_path / "reports" / "perch-and-lettuce-in-the-workshop" / "outage-card.html").read_text()
    assert card.index("Oxygen") < card.index("Do in this order") < card.index("How long")
    content = json.loads(overwinter("outage", "plan.toml", "--json", "-", cwd=tmp_path).stdout)
    assert next(iter(content)) == "first"
    assert "Oxygen" in content["first"]
    assert content["hours_to_floor_worst"] > 0


def test_the_heater_command(tmp_path, workshop_text):
    (tmp_path / "plan.toml").write_text(workshop_text.replace('winters = "all"', "winters = [2016]"))
    done = overwinter("heater", "plan.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "heater needed" in done.stdout
    content = json.loads(overwinter("heater", "plan.toml", "--json", "-", cwd=tmp_path).stdout)
    assert content["circuit"]["limit_w"] == 1440.0  # NEC 210.20(A): 80 % of 15 A x 120 V
    assert "NEC" in content["circuit"]["source"]
