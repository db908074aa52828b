"""Questions of README that no key of their own answers: what the commands named there print for a small plan."""

from __future__ import annotations

import json

import pytest

from tests import fuzz
from tests.analysis.quick import assess
from tests.cli.small_tables import TANK, short_climate
from tests.docs.markers import README
from thermal.analysis.sun_effect import sun_effect
from thermal.report.sentences import verdict
from thermal.report.sun_text import sun_effect_sentence

RESERVOIR = (
    TANK.replace('diameter = "1 m"', 'diameter = "0.4 m"')
    .replace('depth = "0.5 m"', 'depth = "0.4 m"')
    .replace('temperature = "2 degC"', 'air_changes = "ordinary"')
    + '[[room.side]]\nname = "walls"\narea = "45 m2"\nbuild = "studs with batts"\n'
    + '[hut]\nbuild = "bubble-wrap tent"\nlength = "1 m"\nwidth = "1 m"\nheight = "1.5 m"\n'
)


@pytest.fixture
def weather(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return short_climate(tmp_path)


def ended(weather, plan, *command):
    with open("plan.toml", "w", encoding="utf-8") as file:
        file.write(plan.replace('series = "springfield-il"', f'file = "{weather}"') if weather else plan)
    code, out, err = fuzz.ended(command[0], "plan.toml", *command[1:], "--json", "-")
    assert code == 0, err
    return json.loads(out)


def row(number: int) -> str:
    (line,) = [line for line in README.read_text("utf-8").splitlines() if line.startswith(f"| {number}. ")]
    return line


def test_31_what_the_sun_gives(case_with):
    """At Golden, whose weather file has the sun."""
    assert "what sun and sky change" in row(31)
    case = case_with({"climate.series": "golden-co", "climate.coldest_night": "none", "climate.winters": "all"})
    found = assess(case)
    effect = sun_effect(case, found.heater, found.season)
    assert effect.kwh < 0.0
    said = sun_effect_sentence(effect, case.weather.sun_and_sky)
    assert said.startswith("Sun and sky together change the heater needed by")


def test_39_an_air_pump_without_a_heater(case_with):
    assert '`top = "bubbling"`' in row(39)
    still = {"climate.winters": [2016], "climate.coldest_night": "none", "tank.top": "bubbling"}
    found = assess(case_with({**still, "room.temperature": "-3 degC"}))
    assert found.unheated[0].coldest_c <= 0.0
    assert "would freeze" in verdict(found)


def test_43_what_a_degree_costs(weather):
    assert "`overwinter compare`" in row(43)
    whole = TANK.replace("[keep]", 'winters = [2016]\ncoldest_night = "none"\n[keep]')
    floors = ended("", whole, "compare")["floors"]
    costs = {round(step["floor_c"]): step["cost"] for step in floors}
    assert costs[22] > costs[20] > 0.0  # 72 and 68 °F


def test_47_which_heater_for_a_small_reservoir(weather):
    """In a cold shed: of two heaters the larger is enough where the smaller is not."""
    assert "whether yours is enough" in row(47)
    needed = ended(weather, RESERVOIR, "heater")["heater"]["needed_w"]
    assert 0.0 < needed < 100.0
    for watts in (needed / 2.0, needed * 2.0):
        own = ended(weather, RESERVOIR + f'[heater]\nunits = ["{watts:.0f} W"]\n', "heater")["heater"]
        assert (own["hours_below_floor"] > 0) is (watts < needed)
