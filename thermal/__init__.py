"""Winter thermal-budget planner for recirculating fish-and-plant systems.

The public door: `demo_plan`, `read_plan`, `load_climate`, `simulate`, and for whole answers `scene_of`, `answer_of`.
See `thermal.api` for examples.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from thermal.analysis.assessment import answer_of
    from thermal.analysis.case import scene_of
    from thermal.api import demo_plan, simulate
    from thermal.climate.library import load_climate
    from thermal.plan.reader import read_plan

__version__ = "0.2.0"
__all__ = ["__version__", "answer_of", "demo_plan", "load_climate", "read_plan", "scene_of", "simulate"]

_HOMES = {
    "answer_of": "thermal.analysis.assessment",
    "demo_plan": "thermal.api",
    "load_climate": "thermal.climate.library",
    "read_plan": "thermal.plan.reader",
    "scene_of": "thermal.analysis.case",
    "simulate": "thermal.api",
}


def __getattr__(name: str) -> Any:
    """Import the public names on first use: pandas and pydantic cost half a second."""
    if name not in _HOMES:
        raise AttributeError(f"module 'thermal' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
