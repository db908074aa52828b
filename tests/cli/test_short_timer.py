"""A heater on a timer that is too short for any heater: every command that would show figures says so instead."""

from __future__ import annotations

import pytest

from tests import fuzz
from tests.cli.small_tables import TANK, short_climate


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    weather = short_climate(tmp_path)
    plan = TANK.replace('series = "springfield-il"', f'file = "{weather}"') + '[heater]\nhours = "12:00-12:30"\n'
    (tmp_path / "tank.toml").write_text(plan, "utf-8")
    return tmp_path


@pytest.mark.parametrize("command", ["run", "heater", "spread", "outage"])
def test_a_timer_that_no_heater_makes_up_for_is_refused(command, folder):
    """`spread` showed a heating of 0 kWh."""
    code, out, err = fuzz.ended(command, "tank.toml")
    assert code == 2, out
    assert "a timer that gives the heaters power for 0.5 h a day no heater keeps the water" in " ".join(err.split())


def test_compare_shows_what_holds_and_no_cost_of_what_does_not(folder):
    """It said "none of the measures saves heat" and 0 kWh; a lower minimum is still worth its row."""
    code, out, err = fuzz.ended("compare", "tank.toml", "--json", "-")
    assert code == 0, err
    page = (folder / "reports" / "tank-short" / "compare.html").read_text("utf-8")
    assert "As the plan is, no heater keeps the water at its minimum." in page
    assert '"needed_w": null' in out
    assert "Infinity" not in out
    assert "NaN" not in out
