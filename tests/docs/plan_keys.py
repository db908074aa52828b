"""Writes every key of the plan file, and the names of all presets, into README, from the schema and the data files.

python -m tests.docs.plan_keys
"""

from __future__ import annotations

import inspect
import json
from collections.abc import Callable, Iterator, Mapping
from string import Template
from typing import Any, NamedTuple, get_args, get_origin

from pydantic import BaseModel

from tests.docs.markers import README, write_generated
from thermal import data
from thermal.data.other_ways import other_ways
from thermal.plan.schema import PlanTable
from thermal.plan.table import key_texts

KEYS, PRESETS = "plan keys", "preset names"
PRESET_LISTS: dict[str, tuple[str, Callable[[], Mapping[str, object]]]] = {  # as `plan_keys.toml` calls them
    "tops": ("covers", data.tops),
    "fills": ("bed fills", data.fills),
    "builds": ("sides of the room", data.builds),
    "colours": ("colours of outer surfaces", data.colours),
    "floors": ("floors of the room", data.floors),
    "soils": ("kinds of ground", data.soils),
    "leakage": ("air tightness", data.leakage),
    "huts": ("huts", data.huts),
    "species": ("species", data.species),
    "other_ways": ("other ways to heat", other_ways),
    "materials": ("materials", data.materials),
}
BELOW = {key: f"see *{name}* below" for key, (name, _) in PRESET_LISTS.items()}


class Key(NamedTuple):
    """One key of the plan file; a table as a whole has no name."""

    table: str
    name: str
    meaning: str
    examples: str


def schema_keys(model: type[BaseModel] = PlanTable, table: str = "") -> Iterator[Key]:
    """Every table and key, those of the top level first."""
    inner: list[tuple[type[BaseModel], Key]] = []
    texts = key_texts(model)
    for name, field in model.model_fields.items():
        below = _model_in(field.annotation)
        if below is None:
            examples = ", ".join(f"`{_toml(example)}`" for example in texts[name].get("examples", []))
            yield Key(table, name, _meaning(texts[name]), examples)
        else:
            path = f"{table.strip('[]')}.{name}".strip(".")
            path = f"[[{path}]]" if get_origin(field.annotation) is list else f"[{path}]"
            inner.append((below, Key(path, "", _meaning(texts[name]), "")))
    for below, whole in inner:
        yield whole
        yield from schema_keys(below, whole.table)


def lines() -> list[str]:
    """The reference table; a key that means the same in two tables has one row."""
    merged: dict[tuple[str, ...], list[str]] = {}
    for key in schema_keys():
        own = key if not key.name else key[1:]  # a table keeps its row
        merged.setdefault(tuple(own), []).append(f"`{key.table}`" if key.table else "")
    rows = ["| table | key | meaning | for example |", "|---|---|---|---|"]
    for (*_, name, meaning, examples), tables in merged.items():
        rows.append(
            f"| {', '.join(tables)} | {f'`{name}`' if name else ''} | {meaning} | {examples} |".replace("  ", " ")
        )
    return rows


def preset_lines() -> list[str]:
    """The names that stand for built-in values."""
    return [
        "| built in | names |",
        "|---|---|",
        *(f"| {what} | {', '.join(f'`{name}`' for name in read())} |" for what, read in PRESET_LISTS.values()),
    ]


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The table a field holds, if any."""
    if inspect.isclass(annotation) and issubclass(annotation, BaseModel):
        return annotation
    return next((model for part in get_args(annotation) if (model := _model_in(part))), None)


def _meaning(row: Mapping[str, Any]) -> str:
    """A key's text, with a pointer in place of a list of presets."""
    text = Template(row["text"]).substitute(BELOW)
    return text[0].upper() + text[1:] if text.startswith("see ") else text


def _toml(value: Any) -> str:
    """A value as it stands in a plan."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{key}" = {_toml(part)}' for key, part in value.items()) + " }"
    return json.dumps(value, ensure_ascii=False)


def main() -> None:
    """Write both tables into README."""
    write_generated(README, KEYS, lines())
    write_generated(README, PRESETS, preset_lines())


if __name__ == "__main__":
    main()
