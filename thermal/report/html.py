"""Pages from the templates beside this module; every text is escaped."""

from __future__ import annotations

import base64
from importlib.resources import files
from typing import Any

import jinja2


def render(template: str, content: dict[str, Any]) -> str:
    """One template as HTML; a name it wants and does not get is an error.

    Parameters
    ----------
    template : str
        File name in `templates/`.
    """
    folder = files("thermal") / "report" / "templates"
    environment = jinja2.Environment(
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        loader=jinja2.FunctionLoader(lambda name: (folder / name).read_text("utf-8")),
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(template).render(**content)


def embed(pictures: dict[str, bytes]) -> dict[str, str]:
    """PNG pictures as data URLs, so that a page needs nothing beside it."""
    return {
        name: f"data:image/png;base64,{base64.b64encode(picture).decode('ascii')}" for name, picture in pictures.items()
    }
