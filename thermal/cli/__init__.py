"""The commands: parse, call the library, print. The only place that prints or ends the program."""

from __future__ import annotations

from thermal.cli.plan_commands import app, main

__all__ = ["app", "main"]
