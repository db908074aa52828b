"""The version of the installed package. pyproject.toml is the only place where it is written."""

from __future__ import annotations

NOT_INSTALLED = "unknown"


def installed_version() -> str:
    """Version that the package was installed as, "unknown" for a source tree that was never installed.

    Returns
    -------
    str
        Such as "1.2.0". A source tree run beside an installed package gives the installed version.
    """
    from importlib.metadata import PackageNotFoundError, version  # 20 ms, wanted by `--version` alone

    try:
        return version("overwinter")
    except PackageNotFoundError:
        return NOT_INSTALLED
