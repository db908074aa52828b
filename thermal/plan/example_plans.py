"""The ready plans that come with the package, by name."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

from thermal.core.suggest import nearest
from thermal.errors import OverwinterError

DEMO = "workshop"  # the plan of the command `demo`


def example_plans() -> dict[str, str]:
    """Title of each ready plan by its name, the demo's left out."""
    names = sorted(path.stem for path in _folder().glob("*.toml") if path.stem != DEMO)
    return {name: tomllib.loads(example_path(name).read_text("utf-8"))["title"] for name in names}


def example_path(name: str) -> Path:
    """File of a ready plan, whether there is one or not."""
    return _folder() / f"{name}.toml"


def plan_file(path: Path) -> Path:
    """The plan file named, or the ready plan of that name where no such file exists.

    Raises
    ------
    OverwinterError
        When a bare word is neither.
    """
    if path.exists() or path.parent != Path() or path.suffix:
        return path
    if not example_path(path.name).exists():
        raise OverwinterError(
            f"{path}: there is no such plan file, and no ready plan of that name; {nearest(path.name, example_plans())}"
        )
    return example_path(path.name)


def _folder() -> Path:
    return Path(str(files("thermal"))) / "plan" / "examples"
