"""Rows of FINDINGS section A that no other test holds: a small test each, named by its row."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from types import SimpleNamespace
from unittest import mock
from xml.etree import ElementTree

import pytest

from tests import fuzz
from thermal.analysis.comparison_results import Comparison, Package, PackageComparison
from thermal.climate import download
from thermal.errors import ClimateError
from thermal.plan.presets import EVAPORATION_FORMULA
from thermal.plan.reader import plan_of
from thermal.report import sentences
from thermal.report.drawings.packages_drawing import packages_figure

README = (Path(__file__).resolve().parents[1] / "README.md").read_text("utf-8")


def test_row_18_without_a_network_fetch_names_the_nearest_weather_file(monkeypatch, tmp_path):
    """Four weather files, none of a cold continental town or of Europe; offline there was no way on."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(download, "download_series", mock.Mock(side_effect=ClimateError("no network")))
    for place, nearest in (("45 -93.3", "minneapolis-mn"), ("49 7", "lorraine-fr")):
        latitude, longitude = place.split()
        code, _, err = fuzz.ended(
            "climate", "fetch", "--lat", latitude, "--lon", longitude, "--winters", "2015", "--name", "town"
        )
        assert code == 2
        said = " ".join(err.split())
        assert f"the nearest weather file here is '{nearest}'" in said
        assert f"overwinter climate adapt {nearest} --name town" in said


def test_row_30_the_main_uncertainty_is_a_plain_sentence(case_with):
    """ "Evaporation is known to about ±20 %, presets to less" left open: less what?"""
    said = sentences.basis(case_with())
    low, likely, high = EVAPORATION_FORMULA
    assert (likely - low, high - likely) == pytest.approx((0.2 * likely, 0.2 * likely))
    assert " Evaporation is uncertain by ±20 %;" in said
    assert "by more" not in said  # not true of every assumed value: an open top has ±20 % too, a steel door less
    assert "`overwinter check` shows the range of every assumed value" in said
    assert "presets" not in said
    assert " to less" not in said


def test_row_32_start_says_lights_bed_depth_and_pump(tmp_path):
    """No lights were written for lettuce, bed depth and pump were fixed, and nothing of it was said."""
    file = tmp_path / "plan.toml"
    code, _, err = fuzz.ended("start", str(file), "--yes", "--answer", "floor=lettuce")
    assert code == 0, err
    text = file.read_text("utf-8")
    head, plan = text.split("title =")[0], tomllib.loads(text)
    assert "# - Grow lights: none (" in head
    depth, flow, watts = plan["bed"][0]["water_depth"], plan["pump"]["flow"], plan["pump"]["power"]
    assert f"# - Depth of the water in a flooded bed: {depth} (" in head
    assert f"# - Pump: {flow}, {watts}, always on (" in head


def test_row_41_the_chart_of_packages_names_them_and_has_no_empty_half(workshop):
    """60 % of the chart was empty below the packages; their names had to be looked up through two tables."""
    named = [((), 0.0, 400.0), (("lid",), 40.0, 340.0), (("lid", "foam"), 90.0, 310.0)]
    packages = tuple(
        Package(measures, cost, SimpleNamespace(needed_w=900.0, cost=running), 400.0 - running, None)
        for measures, cost, running in named
    )
    comparison = Comparison(PackageComparison(packages, (0, 1, 2), None, None, None, ()), ())
    for text in re.findall(r"<svg.*?</svg>", packages_figure(plan_of(workshop), comparison, "Packages."), re.DOTALL):
        drawing = ElementTree.fromstring(text)
        words = [part.text for part in drawing.iter("text")]
        assert {"no measures", "lid", "2 + foam"} <= set(words)
        assert "(this axis does not begin at 0)" in words
        _, least, _, most = map(float, drawing.get("data-y").split())
        assert 310.0 - least < 0.1 * (most - least)


def test_row_43_one_air_change_has_no_plural(workshop, tmp_path):
    """ "1 air changes" was printed."""
    hut = {"length": "3 m", "width": "2 m", "height": "2 m", "air_changes": 1}
    file = tmp_path / "plan.toml"
    room = {**workshop["room"], "air_changes": 1}
    file.write_text(fuzz.toml({**workshop, "measure": [], "hut": hut, "room": room}), "utf-8")
    code, out, err = fuzz.ended("check", str(file))
    assert code == 0, err
    said = " ".join(out.split())
    assert ", 1 air change an hour" in said
    assert not re.search(r"\b1 air changes", said)


def test_row_44_readme_sets_up_on_windows_and_macos_too():
    """README had only the lines of POSIX systems."""
    part = README.split("\n## Set up\n")[1].split("\n## ")[0]
    assert "macOS" in part.split("```text\n")[0]
    windows = part.split("```powershell\n")[1].split("```")[0].splitlines()
    assert r".venv\Scripts\Activate.ps1" in windows
    assert windows[-1] == "overwinter demo"
    assert "Windows" in part.split("```powershell\n")[0].splitlines()[-2]
