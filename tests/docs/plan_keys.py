"""Writes every key of the plan file, and the names of all presets, into README, from the schema and the data files.

python -m tests.docs.plan_keys
"""

from __future__ import annotations

import inspect
import re
import types
from collections.abc import Iterator
from typing import Any, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from tests.docs.markers import README, write_generated
from thermal import data
from thermal.core.schedule import ALWAYS
from thermal.plan import field_types
from thermal.plan.schema import PlanTable

KEYS, PRESETS = "plan keys", "preset names"
LAYERS = '`"XPS 50 mm"`, `"R-10"`, `"RSI-1.8"`'
READERS = {
    field_types.read_hours: '`"always"`, `"never"`, `"06:00-22:00"`, or a list of such times',
    field_types.read_layers: f'{LAYERS}, layers joined by `+`, or `"none"`',
    field_types.read_base: '`"slab"`, `"frame"` or `"XPS 25 mm on slab"`',
    field_types.read_top: f"a cover, or {LAYERS}",
    field_types.read_build: f"a side, or {LAYERS}",
    field_types.read_hut_build: f"a hut, or {LAYERS}",
    field_types.read_floor_build: "a floor, or an R-value",
    field_types.read_air_changes: "an air tightness, or a number per hour",
    field_types.read_winters: '`"all"`, or starting years such as `[2016, 2017]`',
    field_types.read_circuit: '`"15 A 120 V"`',
}
PLAIN = {str: "text", int: "a whole number", float: "a number", bool: "true or false", Any: "any value"}
SHOWN_UNITS = {  # SI unit of a kind: factor and unit its default is shown in
    "m": (1.0, " m"), "m**2": (1.0, " m2"), "m**3": (1e3, " L"), "m**3/s": (3.6e6, " L/h"), "W": (1.0, " W"),
    "kWh": (1.0, " kWh"), "degC": (1.0, " degC"), "": (100.0, " %"), "m**2*K/W": (1.0, " m2K/W"),
}  # fmt: skip
EVERY = {ALWAYS: '`"always"`', tuple(range(1, 13)): "every month", (): "none"}
PRESET_LISTS = {
    "cover (`top`, `night_top`)": data.tops,
    "bed fill (`fill`)": data.fills,
    "side (`[[room.side]] build`)": data.builds,
    "floor (`[room.floor] build`)": data.floors,
    "ground (`soil`)": data.soils,
    "air tightness (`[room] air_changes`)": data.leakage,
    "hut (`[hut] build`)": data.huts,
    "species (`species`)": data.species,
    "material of layers": data.materials,
}


class Key(NamedTuple):
    """One key of the plan file."""

    table: str
    name: str
    meaning: str
    written: str
    default: str


def schema_keys(model: type[BaseModel] = PlanTable, table: str = "") -> Iterator[Key]:
    """Every key, table by table; those of the top level first."""
    inner: list[tuple[type[BaseModel], str]] = []
    for name, field in model.model_fields.items():
        below = _model_in(field.annotation)
        if below is None:
            assert field.description, f"{table or 'the plan'}: {name} has no description in plan/schema.py"
            yield Key(table, name, field.description.rstrip("."), _written(field), _default(field))
        else:
            path = f"{table.strip('[]')}.{name}".strip(".")
            inner.append((below, f"[[{path}]]" if _is_list(field.annotation) else f"[{path}]"))
    for below, path in inner:
        yield from schema_keys(below, path)


def lines() -> list[str]:
    """The reference table; a key that means the same in two tables has one row."""
    merged: dict[tuple[str, ...], list[str]] = {}
    for table, *rest in schema_keys():
        merged.setdefault(tuple(rest), []).append(f"`{table}`" if table else "")
    rows = ["| table | key | meaning | write | default |", "|---|---|---|---|---|"]
    for (name, meaning, written, default), tables in merged.items():
        rows.append(f"| {', '.join(tables)} | `{name}` | {meaning} | {written} | {default} |".replace("|  |", "| |"))
    return rows


def preset_lines() -> list[str]:
    """The names that stand for built-in values."""
    return [
        "| preset | names |",
        "|---|---|",
        *(f"| {what} | {', '.join(f'`{name}`' for name in read())} |" for what, read in PRESET_LISTS.items()),
    ]


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The table a field holds, if any."""
    if inspect.isclass(annotation) and issubclass(annotation, BaseModel):
        return annotation
    return next((model for part in get_args(annotation) if (model := _model_in(part))), None)


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is list


def _readers(annotation: Any, metadata: tuple[Any, ...] | list[Any]) -> list[Any]:
    """The functions that read a field's text, in the field itself or within `X | None` and lists."""
    here = [entry.func for entry in metadata if isinstance(entry, BeforeValidator)]
    inner = getattr(annotation, "__metadata__", ())
    return here + [reader for part in get_args(annotation) for reader in _readers(part, inner)] + [
        entry.func for entry in inner if isinstance(entry, BeforeValidator)
    ]  # fmt: skip


def _written(field: FieldInfo) -> str:
    """What to write after the equals sign."""
    readers = _readers(field.annotation, field.metadata)
    form = _form_of(readers[0]) if readers else _plain(field.annotation)
    return f"a list: {form}" if _is_list(field.annotation) else form


def _form_of(reader: Any) -> str:
    if reader in READERS:
        return READERS[reader]
    inside = inspect.getclosurevars(reader).nonlocals
    if "kind" in inside:
        return re.sub(r'"[^"]+"', r"`\g<0>`", inside["kind"].example)
    if "known" in inside and not callable(inside["known"]):
        return ", ".join(f'`"{word}"`' for word in inside["known"])
    if "known" in inside:
        return f"{inside['what'].removesuffix(' we have figures for')} by name"
    return f"a number from {inside['low']:g} to {inside['high']:,.15g}"


def _plain(annotation: Any) -> str:
    """A type without a reader of its own."""
    if get_origin(annotation) in (Union, types.UnionType):
        parts = [part for part in get_args(annotation) if part is not type(None)]
        return " or ".join(dict.fromkeys(map(_plain, parts)))
    if get_origin(annotation) is dict:
        return '`{ "tank.top" = "snug foam lid" }`'
    inner = get_args(annotation)
    return _plain(inner[0]) if inner else PLAIN[annotation]


def _default(field: FieldInfo) -> str:
    """The value of a key left out, as it would be written."""
    value = field.default
    if value is PydanticUndefined and field.default_factory is None:
        return "required"
    if value is None:
        return "–"
    if field_types.read_winters in _readers(field.annotation, field.metadata):
        return '`"all"`'
    if isinstance(value, list | tuple):
        return EVERY.get(tuple(value)) or ("every day" if len(value) == 7 else f"`{list(value)}`")
    kinds = [
        inspect.getclosurevars(reader).nonlocals.get("kind") for reader in _readers(field.annotation, field.metadata)
    ]
    if isinstance(value, float) and kinds and kinds[0]:
        factor, unit = SHOWN_UNITS[kinds[0].si]
        return f"{value * factor:g}{unit}" if value else "0"
    return f"{value:g}" if isinstance(value, int | float) else f'`"{value}"`' if value else "–"


def main() -> None:
    """Write both tables into README."""
    write_generated(README, KEYS, lines())
    write_generated(README, PRESETS, preset_lines())


if __name__ == "__main__":
    main()
