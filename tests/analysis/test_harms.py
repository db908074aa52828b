"""Harm to people and animals: said first in every view, with when and how much."""

from __future__ import annotations

import json
import re

import numpy as np
import pandas as pd
import pytest

from tests.analysis.quick import assess
from tests.cli.test_cli import overwinter
from tests.report.test_language import faults
from thermal.analysis.case import INSTALLED, hours_of
from thermal.analysis.cold_beds import pump_starts
from thermal.analysis.comparison_harms import harms_of_plan
from thermal.analysis.design_results import design_results

BURNER = {"gain": [{"name": "rocket stove", "power": "100 W", "where": "room"}]}
HARMFUL = {**BURNER, "heater.units": ["1500 W", "1500 W"], "climate.winters": [2016]}
CODES = {"unvented", "fast-change", "one-circuit", "stuck-on", "circuit"}


@pytest.fixture(scope="module")
def harmful(case_with):
    return assess(case_with(HARMFUL))


def text_of(assessment, code):
    """Text of one warning."""
    return next(warning.text for warning in assessment.warnings if warning.code == code)


def test_every_harm_is_a_warning_and_stands_before_all_others(harmful):
    harms = [warning.harm for warning in harmful.warnings]
    assert {warning.code for warning in harmful.warnings if warning.harm} == CODES
    assert harms == sorted(harms, reverse=True)
    assert not any(warning.belief for warning in harmful.warnings if warning.harm)


@pytest.mark.parametrize(
    "name", ["wood stove", "LPG heater", "paraffin lamp", "ethanol burner", "Propane", "gas heater"]
)
def test_every_burner_brings_the_warning(case_with, name):
    gain = {"name": name, "power": "10 W", "where": "room"}
    assert "carbon monoxide" in text_of(assess(case_with({"climate.winters": [2016], "gain": [gain]})), "unvented")


def test_electric_gains_do_not_bring_the_burners_warning(case_with):
    gain = [{"name": "oil-filled electric radiator", "power": "10 W", "where": "room"}]
    case = case_with({"climate.winters": [2016], "gain": gain})
    assert "unvented" not in {warning.code for warning in assess(case).warnings}


@pytest.mark.parametrize("settings", [{"climate.winters": [2016]}, HARMFUL])
def test_compare_says_the_harms_of_the_assessment(case_with, settings):
    """`compare` simulates few designs for it; the sentences must be the same, to the letter."""
    case = case_with(settings)
    expected = tuple(warning for warning in assess(case).warnings if warning.harm)
    assert harms_of_plan(case, design_results(case, [case.plan])[0]) == expected


def test_a_fast_change_says_when_how_fast_and_that_it_is_autumn(case_with):
    """Found by hand: "up to 11.9 degF in a day; animals stand 5", without a date, a reason or a source."""
    case = case_with({"climate.winters": [2016]})
    assessment = assess(case)
    text = text_of(assessment, "fast-change")
    hours = hours_of(case, assessment.shown, 0, INSTALLED)
    tank = pd.Series(hours.hourly_output.water_c[:, -1, hours.column], case.weather.winters[0].times())
    end = pd.Timestamp(re.search(r"\d+ [A-Z][a-z]{2} \d{4} \d\d:\d\d", text).group()) - pd.Timedelta("1h")
    before, after, day, hourly = map(float, re.findall(r"(-?[\d.]+) °C", text)[:4])
    assert (before, after) == pytest.approx((tank[end - pd.Timedelta("24h")], tank[end]), abs=0.06)
    assert day == pytest.approx(np.abs(tank.diff(24)).max(), abs=0.06)
    assert hourly == pytest.approx(np.abs(tank[end - pd.Timedelta("24h") : end].diff()).max(), abs=0.06)
    assert end.month in (10, 11)
    assert "That is autumn weather: the heaters are off" in text
    assert "3 °C a day" in text
    assert "koivet.com" in text


def test_no_season_is_blamed_while_the_heaters_run(case_with):
    """Heaters of 100 W run all the time in the cold; a fast change then is not mild weather."""
    text = text_of(assess(case_with({"heater.units": ["20 W"], "keep.floor": "30 degC"})), "fast-change")
    assert "weather: the heaters are off" not in text


def test_cold_beds_are_named_where_they_raise_the_heater(case_with):
    """Found by hand: with the pump off at night 6,860 W were needed in place of 2,940 W, no reason given."""
    case = case_with({"climate.winters": [2016], "pump.hours": "06:00-22:00"})
    assessment = assess(case)
    text = text_of(assessment, "cold-beds")
    steady = assess(case_with({"climate.winters": [2016]})).heater.needed_w
    low, high = (float(watts.replace(",", "")) for watts in re.findall(r"([\d,]+) W", text)[:2])
    assert low == pytest.approx(steady, abs=15.0)
    assert high == pytest.approx(assessment.heater.needed_w, abs=15.0)
    assert high > 1.1 * low
    assert " at 06:00 " in text
    bed, tank = map(float, re.findall(r"(-?[\d.]+) °C", text))
    assert tank - bed > 5.0
    assert faults(text) == []
    assert pump_starts(case.plan) == [6]


@pytest.mark.parametrize(
    "settings", [{}, {"pump.hours": "06:00-22:00", "bed.insulation": "XPS 100 mm", "room.temperature": "9.5 degC"}]
)
def test_beds_that_stay_warm_are_not_blamed(case_with, settings):
    codes = {warning.code for warning in assess(case_with({"climate.winters": [2016], **settings})).warnings}
    assert "cold-beds" not in codes


def test_harms_come_first_in_every_view(tmp_path, workshop_text):
    plan = workshop_text.replace('winters = "all"', "winters = [2016]")
    (tmp_path / "plan.toml").write_text(plan + '\n[[gain]]\nname = "rocket stove"\npower = "100 W"\nwhere = "room"\n')
    folder = tmp_path / "reports" / "plan-springfield-il"
    for command, sample, file, after in (
        ("run", ("--samples", "20"), "report.html", "What to buy"),
        ("heater", (), None, "thermostat setting"),
        ("compare", (), "compare.html", "Measures, best first"),
        ("outage", (), "outage-card.html", "Do in this order"),
    ):
        done = overwinter(command, "plan.toml", *sample, "--json", "answer.json", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        words = " ".join(done.stdout.split())
        first = words.index("Unvented burners make carbon monoxide")
        assert first < words.index("false trip") < min(words.find(f"! {word}") % 10**6 for word in ("If one", "Mould"))
        assert first < 900, (command, first)  # behind the verdict at most
        content = json.loads((tmp_path / "answer.json").read_text())
        assert content["warnings"][0]["code"] == "unvented"
        assert content["warnings"][0]["harm"] is True
        if file:
            page = (folder / file).read_text()
            heading = re.search(rf"<h2[^>]*>{after}", page)
            assert heading, after
            assert page.index("carbon monoxide") < heading.start(), command
