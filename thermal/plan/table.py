"""The base of every plan table: unknown keys are refused, and each key's meaning is read from `plan_keys.toml`."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files
from string import Template
from typing import Any

from pydantic import BaseModel, ConfigDict

from thermal import data

PRESETS = (
    "builds",
    "colours",
    "fills",
    "floors",
    "huts",
    "leakage",
    "materials",
    "other_ways",
    "soils",
    "species",
    "tops",
)


def key_texts(table: type[BaseModel]) -> dict[str, dict[str, Any]]:
    """Text and examples of each key of a table, from `plan_keys.toml`; a bed has the keys of a tank too."""
    texts = _texts()
    classes = [cls.__name__.removesuffix("Table") for cls in reversed(table.__mro__)]
    parents = [re.sub(r"(?<=[a-z])(?=[A-Z])", "_", name).lower() for name in classes]
    return {key: row for parent in parents for key, row in texts.get(parent, {}).items()}


@cache
def _texts() -> dict[str, Any]:
    """The file, read once: each of many faults asks for an example."""
    return tomllib.loads((files("thermal") / "plan" / "plan_keys.toml").read_text("utf-8"))


def _describe_keys(schema: dict[str, Any], table: type[BaseModel]) -> None:
    """Add the meaning of a table's keys to its JSON Schema."""
    names = {preset: ", ".join(f'"{name}"' for name in data.raw_table(preset)) for preset in PRESETS}
    for key, row in key_texts(table).items():
        schema["properties"][key]["description"] = Template(row["text"]).substitute(names)
        if "examples" in row:
            schema["properties"][key]["examples"] = row["examples"]


class Table(BaseModel):
    """A TOML table: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, json_schema_extra=_describe_keys)
