"""Plans and cases that many tests share."""

from __future__ import annotations

import copy
import os
import sys
import tomllib
from importlib.resources import files
from typing import Any

import pytest

from thermal.analysis.case import SimulationCase
from thermal.analysis.plan_weather import scene_of
from thermal.plan.reader import plan_of, with_settings

if sys.platform != "win32":
    os.register_at_fork(after_in_child=lambda: sys.settrace(None))  # a worker's coverage is lost, so is its cost


@pytest.fixture(scope="session")
def workshop_text() -> str:
    return (files("thermal") / "plan" / "examples" / "workshop.toml").read_text("utf-8")


@pytest.fixture
def workshop(workshop_text: str) -> dict[str, Any]:
    """The demo plan as a document, free to be changed."""
    return tomllib.loads(workshop_text)


@pytest.fixture(scope="session")
def case_with(workshop_text: str):
    """A case of the demo plan without its measures, with some settings changed; made once for each choice."""
    made: dict[str, SimulationCase] = {}

    def case(settings: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> SimulationCase:
        key = repr((settings, drop))
        if key not in made:
            document = tomllib.loads(workshop_text)
            for name in ("measure", *drop):
                document.pop(name)
            made[key] = scene_of(plan_of(with_settings(copy.deepcopy(document), settings or {})))
        return made[key]

    return case


LONGEST = ("test_accuracy", "test_readme_commands", "test_language", "test_comparison", "test_cli", "test_fuzz")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The longest files come first where processes share them, so that none waits for another's last file.

    One process keeps the order given: a mutant's nearest tests come first. Without coverage there is nothing to pause:
    pytest-cov fails on its own mark then.
    """
    if hasattr(config, "workerinput"):
        items.sort(key=lambda item: LONGEST.index(item.path.stem) if item.path.stem in LONGEST else len(LONGEST))
    if getattr(config.option, "no_cov", False):
        for node in {node for item in items for node in item.listchain()}:
            node.own_markers = [mark for mark in node.own_markers if mark.name != "no_cover"]
