"""The commands parse words, call the library and print; nothing else prints or ends the program."""

from __future__ import annotations

from thermal.cli.plan_commands import app, main

__all__ = ["app", "main"]
