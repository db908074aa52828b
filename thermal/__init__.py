"""Winter thermal-budget planner for recirculating fish-and-plant systems.

The public door: `answer`, `simulate`, `plot_winter`, `plot_months`, `plot_packages`; below them `demo_plan`,
`read_plan`, `load_climate`, `scene_of` and `answer_of`; `processes` for work on several cores.
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
        Answer,
        Layer,
        LayeredRoom,
        LayeredSide,
        answer,
        answer_of,
        answers,
        demo_plan,
        layered_rooms_of,
        load_climate,
        plot_months,
        plot_packages,
        plot_winter,
        processes,
        read_plan,
        scene_of,
        simulate,
        simulate_layered_rooms,
        typical_year,
    )

__all__ = [
    "Answer",
    "Layer",
    "LayeredRoom",
    "LayeredSide",
    "__version__",
    "answer",
    "answer_of",
    "answers",
    "demo_plan",
    "layered_rooms_of",
    "load_climate",
    "plot_months",
    "plot_packages",
    "plot_winter",
    "processes",
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
