"""Winter thermal-budget planner for recirculating fish-and-plant systems.

The public door: `demo_plan`, `read_plan`, `load_climate`, `simulate`, and for whole answers `scene_of`, `answer_of`.
See `thermal.notebook` for examples.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from thermal.climate.files import load_climate
    from thermal.decisions.answer import answer_of
    from thermal.notebook import demo_plan, simulate
    from thermal.planfile import read_plan
    from thermal.scene import scene_of

__version__ = "0.2.0"
__all__ = ["__version__", "answer_of", "demo_plan", "load_climate", "read_plan", "scene_of", "simulate"]

_HOMES = {
    "answer_of": "thermal.decisions.answer",
    "demo_plan": "thermal.notebook",
    "load_climate": "thermal.climate.files",
    "read_plan": "thermal.planfile",
    "scene_of": "thermal.scene",
    "simulate": "thermal.notebook",
}


def __getattr__(name: str) -> Any:
    """Import the public names on first use: pandas and pydantic cost half a second."""
    if name not in _HOMES:
        raise AttributeError(f"module 'thermal' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
