"""The ready plans of an installed package: listed, copied, and run by name; and the version."""

from __future__ import annotations

import json
from importlib.metadata import version

import pytest

from tests import fuzz
from thermal.plan.example_plans import example_path, example_plans
from thermal.plan.reader import read_plan

WEATHER = {"lorraine": "lorraine-fr", "minneapolis": "minneapolis-mn", "lean": "golden-co"}  # by a word of the name


def test_fourteen_plans_are_listed_with_their_titles():
    code, out, _ = fuzz.ended("start", "--list-plans")
    assert code == 0
    assert len(out.splitlines()) == len(example_plans()) == 14
    assert "garage-metric" in out
    assert "Fish and greens in the garage" in out


@pytest.mark.parametrize("name", sorted(example_plans()))
def test_a_copy_is_the_ready_plan_and_keeps_its_climate(name, tmp_path):
    target = tmp_path / "mine.toml"
    code, _, err = fuzz.ended("start", str(target), "--plan", name)
    assert code == 0, err
    assert target.read_bytes() == example_path(name).read_bytes()
    plan = read_plan(target)
    assert plan.climate.series == next((WEATHER[word] for word in name.split("-") if word in WEATHER), "springfield-il")
    assert "# Measures to" in target.read_text("utf-8")


def test_a_command_finds_a_ready_plan_by_name_unless_a_file_has_it(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, _, err = fuzz.ended("check", "shed-us", "--json", "ready.json")
    assert code == 0, err
    (tmp_path / "shed-us").write_text(example_path("garage-metric").read_text("utf-8"), "utf-8")
    code, _, err = fuzz.ended("check", "shed-us", "--json", "own.json")
    assert code == 0, err
    ready, own = (json.loads((tmp_path / f"{name}.json").read_text("utf-8")) for name in ("ready", "own"))
    assert ready["title"] == read_plan(example_path("shed-us")).title
    assert own["title"] == read_plan(example_path("garage-metric")).title


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("start", "a.toml", "--plan", "garage-metrc"), "did you mean 'garage-metric'?"),
        (("start", "a.toml", "--plan", "garage-metric", "--answer", "beds=1"), "leave out --answer"),
        (("start",), "name the plan file to write"),
        (
            ("start", "a.toml", "--yes", "--answer", "price=dear"),
            "'dear' is not a price per kWh; write for example 0.17",
        ),
        (("start", "a.toml", "--yes", "--answer", "beds=many"), "--answer beds='many': 'many' is not a number"),
        (("run", "garag-metric"), "did you mean 'garage-metric'?"),
        (("run", "garag-metric.toml"), "cannot be read"),
    ],
)
def test_mistakes_are_answered_in_words(words, answer, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, _, err = fuzz.ended(*words)
    assert (code, answer in err) == (2, True), err


def test_the_version_is_the_installed_one():
    code, out, _ = fuzz.ended("--version")
    assert (code, out.strip()) == (0, f"overwinter {version('overwinter')}")
