"""Winter thermal-budget planner for recirculating fish-and-plant systems.

The public door: `demo_plan`, `read_plan`, `load_climate`, `simulate`, and for whole answers `scene_of`, `answer_of`.
For a table of many plans and climates: `answers`.
For a bare room of layered walls: `Layer`, `LayeredSide`, `LayeredRoom`, `layered_rooms_of`, `typical_year`,
`simulate_layered_rooms`.
See `thermal.api` for examples.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    __version__: str
    from thermal.api import (
        Layer,
        LayeredRoom,
        LayeredSide,
        answer_of,
        answers,
        demo_plan,
        layered_rooms_of,
        load_climate,
        read_plan,
        scene_of,
        simulate,
        simulate_layered_rooms,
        typical_year,
    )

__all__ = [
    "Layer",
    "LayeredRoom",
    "LayeredSide",
    "__version__",
    "answer_of",
    "answers",
    "demo_plan",
    "layered_rooms_of",
    "load_climate",
    "read_plan",
    "scene_of",
    "simulate",
    "simulate_layered_rooms",
    "typical_year",
]


def __getattr__(name: str) -> Any:
    """Import the public names on first use: pandas and pydantic cost half a second."""
    if name == "__version__":
        from thermal.core.version import installed_version

        return installed_version()
    if name not in __all__:
        raise AttributeError(f"module 'thermal' has no attribute {name!r}")
    from thermal import api

    return getattr(api, name)
