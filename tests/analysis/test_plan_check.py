"""Every fault of a plan and its climate stands in one list, with its line."""

from __future__ import annotations

import pytest

from thermal.analysis.plan_check import read_with_weather
from thermal.errors import PlanError

CHANGES = (
    ('series = "springfield-il"', 'series = "springfeld-il"', "did you mean 'springfield-il'"),
    ('floor = "10 degC"', 'species = ["pirch"]', "pirch"),
    ('diameter = "1.2 m"', 'diameter = "1.2"', "has no unit"),
    ('"tank.top" = "snug foam lid"', '"tank.top" = "snug foam lit"', "snug foam lid"),
)


def test_climate_species_measures_and_plan_are_in_one_list(tmp_path, workshop_text):
    text = workshop_text
    for old, new, _ in CHANGES:
        assert old in text
        text = text.replace(old, new)
    (tmp_path / "plan.toml").write_text(text, "utf-8")
    with pytest.raises(PlanError) as caught:
        read_with_weather(tmp_path / "plan.toml")
    lines = text.split("\n")
    for _, new, said in CHANGES:
        (fault,) = [fault for fault in caught.value.faults if said in fault]
        number = int(fault.split(":")[0].removeprefix("line "))
        assert new in lines[number - 1]
    assert len(caught.value.faults) == len(CHANGES)


def test_winters_that_the_weather_file_lacks_are_a_fault_of_their_line(tmp_path, workshop_text):
    text = workshop_text.replace('winters = "all"', "winters = [1901]").replace('diameter = "1.2 m"', 'diameter = "1"')
    (tmp_path / "plan.toml").write_text(text, "utf-8")
    with pytest.raises(PlanError) as caught:
        read_with_weather(tmp_path / "plan.toml")
    winters, diameter = caught.value.faults
    assert "climate, winters: no winter of the weather file" in winters
    assert "diameter" in diameter


def test_no_value_is_shown_at_more_than_eighty_characters(tmp_path, workshop_text):
    text = workshop_text.replace('"1.2 m"', f'"{"9" * 300} m"').replace("length = 6", f"length = {['x' * 30] * 9}")
    text = text.replace('series = "springfield-il"', f'series = "{"s" * 79}"')
    text = text.replace('insulation = "none"', f'insulation = "{"foam" * 50}"')
    text = text.replace('hours = "always"', f'hours = "{"h" * 190}"')
    (tmp_path / "plan.toml").write_text(text, "utf-8")
    with pytest.raises(PlanError) as caught:
        read_with_weather(tmp_path / "plan.toml")
    assert len(caught.value.faults) >= 4
    for run in ("9" * 81, "foam" * 21, "h" * 81):
        assert run not in str(caught.value)


def test_a_checked_plan_is_the_plan(tmp_path, workshop_text):
    (tmp_path / "plan.toml").write_text(workshop_text, "utf-8")
    plan, climate, weather = read_with_weather(tmp_path / "plan.toml")
    assert plan.climate.series == climate.header.name == "springfield-il"
    assert len(weather.winters) == 3


def test_any_fault_of_a_plan_cuts_a_long_value():
    assert len(str(PlanError("plan", [f"tank 1, diameter: '{'9' * 300}' is bad"]))) < 130


def test_monthly_means_that_do_not_fit_are_a_fault_of_the_climate(tmp_path, workshop_text):
    means = "monthly_mean = [23, 22, 19, 15, 11, 8, 7, 9, 12, 15, 18, 21]"
    text = workshop_text.replace('winters = "all"', f'winters = "all"\n{means}')
    (tmp_path / "plan.toml").write_text(text, "utf-8")
    with pytest.raises(PlanError, match=r"line \d+: climate: monthly_mean: the coldest month is July"):
        read_with_weather(tmp_path / "plan.toml")
