"""The ready plans of the package, by name."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

from thermal.core.suggest import nearest
from thermal.errors import OverwinterError

DEMO = "demo"  # the plan of the command `demo`
READY = "*-*.toml"  # room and unit system, or room and place


def example_plans() -> dict[str, str]:
    """Title of each ready plan by its name, without the demo."""
    names = sorted(path.stem for path in _folder().glob(READY))
    return {name: tomllib.loads(example_path(name).read_text("utf-8"))["title"] for name in names}


def example_path(name: str) -> Path:
    """File of a ready plan of some name, which need not exist."""
    return _folder() / f"{name}.toml"


def plan_file(path: Path) -> Path:
    """The plan file of a path, or the ready plan of that name where no such file exists.

    Parameters
    ----------
    path : Path
        A file, or the bare name of a ready plan.

    Raises
    ------
    OverwinterError
        When a bare name is neither a file nor a ready plan.
    """
    if path.exists() or path.parent != Path() or path.suffix:
        return path
    if not example_path(path.name).exists():
        raise OverwinterError(
            f"{path}: no plan file and no ready plan of this name; {nearest(path.name, example_plans())}"
        )
    return example_path(path.name)


def _folder() -> Path:
    """The folder of the ready plans."""
    return Path(str(files("thermal"))) / "plan" / "examples"
