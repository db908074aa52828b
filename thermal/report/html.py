"""HTML pages from the templates beside this module. Every text is escaped."""

from __future__ import annotations

import base64
from importlib.resources import files
from typing import Any

import jinja2


def render(template: str, content: dict[str, Any]) -> str:
    """A template filled in.

    Parameters
    ----------
    template : str
        Name of a file in `templates/`.
    content : dict of str to object
        Values for the names in the template.

    Returns
    -------
    str
        HTML.

    Raises
    ------
    jinja2.UndefinedError
        When the template uses a name that is not in `content`.
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
    """PNG pictures as data URLs by the same names, so that a page needs no other file."""
    return {
        name: f"data:image/png;base64,{base64.b64encode(picture).decode('ascii')}" for name, picture in pictures.items()
    }
