"""HTML pages from the templates beside this module. Every text is escaped."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
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
    return environment().get_template(template).render(**content)


@cache
def environment() -> jinja2.Environment:
    """What reads and compiles the templates, each once. jinja2 is imported here: 0.05 s, for pages only."""
    import jinja2

    folder = files("thermal") / "report" / "templates"
    return jinja2.Environment(
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        loader=jinja2.FunctionLoader(lambda name: (folder / name).read_text("utf-8")),
        trim_blocks=True,
        lstrip_blocks=True,
    )


def render_page(template: str, content: dict[str, Any], scripts: tuple[str, ...] = ()) -> str:
    """A page that extends `base.html`: it may run these scripts, and nothing in it may ask the network.

    Parameters
    ----------
    template : str
        Name of a file in `templates/`.
    content : dict of str to object
        Values for the names in the template.
    scripts : tuple of str
        Scripts of this package, each the whole text of a `script` element; never a text of the plan.
    """
    return render(template, {"lang": "en", **content, "scripts": scripts, "policy": content_policy(scripts)})


def script(name: str) -> str:
    """A script of this package, for `render_page`: the text of a file in `templates/`."""
    return (files("thermal") / "report" / "templates" / name).read_text("utf-8")


def content_policy(scripts: tuple[str, ...]) -> str:
    """The page's Content-Security-Policy: no request at all, own styles and pictures, and these scripts by hash."""
    digests = (base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii") for script in scripts)
    allowed = " ".join(f"'sha256-{digest}'" for digest in digests) or "'none'"
    return (
        f"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src {allowed};"
        " base-uri 'none'; form-action 'none'"
    )
