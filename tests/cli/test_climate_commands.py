"""`climate add` replaces nothing in silence and takes a yearly mean; `climate show` speaks the user's units."""

from __future__ import annotations

import re

import pytest

from tests import fuzz
from thermal.analysis.plan_weather import scene_of
from thermal.analysis.uncertainty import dimensions
from thermal.analysis.warnings import _climate
from thermal.climate.library import load_climate
from thermal.plan.reader import plan_of, with_settings

SHIFT = "ground: yearly mean outdoors"


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
    return tmp_path


@pytest.mark.parametrize("name", ["springfield-il", "mine"])
def test_a_name_that_is_taken_needs_force(place, name):
    fuzz.ended("climate", "add", "hours.csv", "--name", "mine", "--zone", "UTC")
    before = {path: path.read_bytes() for path in (place / "climates").iterdir()}
    code, _, err = fuzz.ended("climate", "add", "hours.csv", "--name", name, "--zone", "UTC")
    assert (code, f"called {name} already" in err, "--force" in err) == (2, True, True), err
    assert {path: path.read_bytes() for path in (place / "climates").iterdir()} == before
    code, _, err = fuzz.ended("climate", "add", "hours.csv", "--name", name, "--zone", "UTC", "--force")
    assert code == 0, err
    assert len(load_climate(name).hours) < 24 * 300  # the new one, not that of the program


@pytest.mark.parametrize("option", ["--monthly-mean", "--record-low"])
def test_a_wrong_temperature_is_told_with_its_option(place, option):
    means = {"--monthly-mean": "-3, -1, 4, 10, 16, 21, 24, 23, 18, 12, 5, -1"}
    arguments = [part for pair in {**means, option: "R-10"}.items() for part in pair]
    code, _, err = fuzz.ended("climate", "adapt", "springfield-il", "--name", "mine", *arguments)
    assert (code, err.startswith(f"{option}: 'R-10' is not a quantity")) == (2, True), err


def test_fetch_asks_before_anything_is_downloaded(place):
    code, _, err = fuzz.ended(
        "climate", "fetch", "--lat", "48", "--lon", "5", "--winters", "2015", "--name", "lorraine-fr"
    )
    assert (code, "called lorraine-fr already" in err) == (2, True), err


def test_a_yearly_mean_can_be_given_to_the_file_or_in_the_plan_and_is_not_sampled_then(place, workshop):
    fuzz.ended("climate", "add", "hours.csv", "--name", "mine", "--zone", "UTC")
    fuzz.ended("climate", "add", "hours.csv", "--name", "known", "--zone", "UTC", "--annual-mean", "49 degF")

    def case_of(settings):
        return scene_of(plan_of(with_settings({**workshop, "measure": []}, {"climate": settings})))

    assumed, known = case_of({"series": "mine"}), case_of({"series": "known"})
    stated = case_of({"series": "mine", "annual_mean": "9.5 degC"})
    (warning,) = [one for one in _climate(assumed) if one.code == "short-series"]
    assert f"{assumed.weather.harmonic.mean_c:.1f} °C is assumed" in warning.text
    assert "annual_mean" in warning.text
    assert SHIFT in dimensions(assumed.plan, ground_assumed=not assumed.weather.harmonic.fitted)
    for case, mean_c in ((known, (49 - 32) / 1.8), (stated, 9.5)):
        assert case.weather.harmonic.mean_c == pytest.approx(mean_c)
        assert all(one.code != "short-series" for one in _climate(case))
        assert SHIFT not in dimensions(case.plan, ground_assumed=not case.weather.harmonic.fitted)


def test_latitude_alone_is_refused_and_one_of_the_south_turns_the_seasons(place, workshop):
    fuzz.ended("climate", "add", "hours.csv", "--name", "mine", "--zone", "UTC")
    settings = {"series": "lorraine-fr", "latitude": -45.0, "winters": [2010]}
    (place / "plan.toml").write_text('[climate]\nseries = "lorraine-fr"\nlatitude = 45\n', "utf-8")
    code, _, err = fuzz.ended("check", "plan.toml")
    assert (code, "write latitude and longitude together" in err) == (2, True), err
    case = scene_of(plan_of(with_settings({**workshop, "measure": []}, {"climate": {**settings, "longitude": 170.0}})))
    assert case.weather.winters[0].start.month == 4


def test_show_speaks_the_users_units_and_draws(place):
    texts = {}
    for units in ("metric", "us"):
        code, texts[units], err = fuzz.ended(
            "climate", "show", "minneapolis-mn", "--units", units, "--floor", "10 degC", "--plot", f"{units}.png"
        )
        assert code == 0, err
        assert (place / f"{units}.png").read_bytes().startswith(b"\x89PNG")
    assert "°C" not in texts["us"]
    celsius, fahrenheit = (
        [
            float(value)
            for value in re.findall(r"-?\d+\.\d", next(line for line in text.splitlines() if line.startswith(" 2016")))
        ]
        for text in (texts["metric"], texts["us"])
    )
    assert len(celsius) == 4
    assert fahrenheit == pytest.approx([32 + 1.8 * value for value in celsius], abs=0.15)


def test_show_has_four_rows_of_twenty_two_winters(place):
    code, text, err = fuzz.ended("climate", "show", "lorraine-fr")
    assert code == 0, err
    assert "Shown of 22 winters" in text
    assert "reanalysis" in text
    assert len(re.findall(r"(?m)^ (?:19|20)\d\d ", text)) == 4
