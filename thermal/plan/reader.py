"""The reader of plan files: it checks a plan as a whole and reports all its faults together."""

from __future__ import annotations

import json
import stat
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from thermal.core.suggest import nearest
from thermal.errors import PlanError
from thermal.plan.calibration_factors import apply_factors, with_uncertain_factors
from thermal.plan.document_limits import document_faults, shorten, text_fault
from thermal.plan.model import Factors, FactorSpread, Plan, Unknown
from thermal.plan.plausibility import physical_faults
from thermal.plan.presets import Sampler, nominal, resolve_plan
from thermal.plan.schema import MeasureTable, PlanTable, UnknownTable
from thermal.plan.table import key_texts
from thermal.plan.toml_faults import toml_fault

LARGEST_BYTES = 1 << 20
LISTS = ("tank", "bed", "pipe", "side", "gain", "period", "tier", "measure", "unknown")
UNION_STEPS = ("float", "constrained-str")  # added by pydantic to the place of a value of several types
BOUNDS = {
    "greater_than_equal": "{value} is out of range; write at least {ge}",
    "less_than_equal": "{value} is out of range; write at most {le}",
    "string_type": "{value} is not text; write it in quotes",
    "string_too_long": "{value} is too long; write at most {max_length} characters",
    "too_long": "{actual_length} are too many; write at most {max_length}",
}
MOST_CHANGES = 30  # measures, or unknowns, that are checked; a plan with more has a fault anyway
FIXED = ("title", "show", "climate", "power", "measure", "unknown")  # tables that a measure cannot change
SPREAD_KEYS = {field.name for field in fields(FactorSpread)}  # of [fit]; its other keys are factors
Document = dict[str, Any]
T = TypeVar("T", bound=BaseModel)


def read_document(path: Path) -> Document:
    """The plan file as nested TOML tables, not yet checked.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    PlanError
        When the file is missing, too large, not UTF-8 or not TOML.
    """
    try:
        state = path.stat()
        if not stat.S_ISREG(state.st_mode) and not stat.S_ISDIR(state.st_mode):
            raise PlanError(str(path), ["is a device or a pipe; give the name of a plan file"])
        if state.st_size > LARGEST_BYTES:
            raise PlanError(str(path), [f"is {state.st_size:,} bytes long; a plan has at most {LARGEST_BYTES:,} bytes"])
        raw = path.read_bytes()
    except OSError as fault:
        raise PlanError(str(path), [f"cannot be read ({fault.strerror or fault})"]) from fault
    try:
        text = raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        raise PlanError(str(path), [f"is not UTF-8 text (byte {fault.start}); save it as UTF-8"]) from fault
    if beyond := text_fault(text):
        raise PlanError(str(path), [beyond])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise PlanError(str(path), [toml_fault(text, fault)]) from fault
    except RecursionError as fault:
        raise PlanError(
            str(path), ["tables are nested too deeply for a plan; remove the brackets that are too many"]
        ) from fault


def plan_of(document: Document, place: str = "plan", sampler: Sampler = nominal) -> Plan:
    """The resolved plan of a document.

    Parameters
    ----------
    document : dict
        The plan file as nested tables.
    place : str
        Name of the document in messages.
    sampler : callable
        Returns the value of each preset from its name and its low, likely and high value, as in `resolve_plan`.

    Raises
    ------
    PlanError
        With every fault of the document.
    """
    if limits := [(_place(loc, document), what) for loc, what in document_faults(document)]:
        raise PlanError(place, [f"{where}: {what}" for where, what in limits])
    entry, faults = None, []
    try:
        entry = _validate(document, place)
    except PlanError as fault:
        faults = fault.faults
    faults = faults + _faults_of_changes(document, set(faults))
    if entry is None or faults:
        raise PlanError(place, [shorten(text, document) for text in faults])
    return replace(_resolve(entry, sampler), source=document)


def plans_for_samplers(document: Document, samplers: Sequence[Sampler]) -> list[Plan]:
    """The plans of one document without measures and unknowns, once for each sampler.

    Parameters
    ----------
    document : dict
        The plan file as nested tables.
    samplers : sequence of callable
        Each returns the values of the presets, as in `resolve_plan`.

    Raises
    ------
    PlanError
        With every fault of the document.
    """
    entry = _validate(document, "plan")
    return [replace(_resolve(entry, sampler), source=document) for sampler in samplers]


def _resolve(entry: PlanTable, sampler: Sampler) -> Plan:
    """The plan of checked tables, with its calibration factors applied."""
    factors = Factors(**entry.fit.model_dump(exclude=SPREAD_KEYS))
    spread = FactorSpread(**entry.fit.model_dump(include=SPREAD_KEYS))
    plan = replace(apply_factors(resolve_plan(entry, sampler), factors), fit_spread=spread)
    return with_uncertain_factors(plan, sampler)


def read_plan(path: Path | str) -> Plan:
    """The resolved plan of a file.

    Parameters
    ----------
    path : Path or str
        The plan file.

    Raises
    ------
    PlanError
        When the file cannot be read, or with every fault of the plan.
    """
    return plan_of(read_document(Path(path)), str(path))


def schema() -> dict[str, Any]:
    """JSON Schema of the plan file for editors: its tables, keys and their meaning. `check` checks the values."""
    keys: dict[str, Any] = _as_written(PlanTable.model_json_schema())
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **keys}


def _as_written(node: Any) -> Any:
    """A schema of parsed values turned into one of the values in a file: numbers may have a unit, hours are text."""
    if isinstance(node, list):
        return [_as_written(part) for part in node]
    if not isinstance(node, dict):
        return node
    if node.get("type") == "number":
        return {**node, "type": ["number", "string"]}
    if node.get("type") == "array" and node.get("items", {}).get("type") in ("number", "integer"):
        kept = {key: node[key] for key in ("title", "description", "examples") if key in node}
        return {"type": ["array", "string"], "items": {"type": ["number", "string"]}, **kept}
    return {key: _as_written(part) for key, part in node.items()}


def variant(plan: Plan, settings: Mapping[str, object], sampler: Sampler = nominal) -> Plan:
    """A plan with some settings changed and its measures left out, with the presets sampled again.

    Parameters
    ----------
    plan : Plan
        The plan to change.
    settings : mapping of str to object
        Value to set at each key of the plan file, as in `with_settings`.
    sampler : callable
        Returns the value of each preset, as in `resolve_plan`.

    Raises
    ------
    PlanError
        When the settings do not fit the plan.
    """
    document = {**plan.source, "measure": [], "unknown": []}
    return replace(plan_of(with_settings(document, settings), "measure", sampler), units=plan.units)


def with_settings(document: Document, settings: Mapping[str, object]) -> Document:
    """A copy of a document with some settings changed.

    Parameters
    ----------
    document : dict
        The plan file as nested tables.
    settings : mapping of str to object
        Value to set at each key. A key such as "tank.insulation" sets every tank; "room.side.door.build" sets only the
        side named door.

    Raises
    ------
    PlanError
        When the plan has no place for a key.
    """
    changed: Document = _copy(document)
    for key, value in settings.items():
        _set(changed, key.split("."), value, key)
    return changed


def _copy(node: Any) -> Any:
    """A copy of a document's tables and lists, not of their values. It takes a third of `copy.deepcopy`'s time."""
    if isinstance(node, dict):
        return {key: _copy(value) for key, value in node.items()}
    return [_copy(part) for part in node] if isinstance(node, list) else node


def _set(node: Any, steps: list[str], value: object, key: str) -> None:
    """Set one key of a document in place."""
    if isinstance(node, list):
        named = [part for part in node if isinstance(part, dict) and part.get("name") == steps[0]]
        targets, rest = (named, steps[1:]) if named and len(steps) > 1 else (node, steps)
        if not targets:
            raise PlanError("measure", [f"sets {key!r}, which this plan does not contain"])
        for target in targets:
            _set(target, rest, value, key)
    elif not isinstance(node, dict):
        raise PlanError("measure", [f"sets {key!r}, but {str(node)[:60]!r} stands where a table should"])
    elif len(steps) == 1:
        node[steps[0]] = value
    else:
        if steps[0] in LISTS and steps[0] not in node:
            raise PlanError("measure", [f"sets {key!r}, but this plan has no [[{steps[0]}]]"])
        table = node.setdefault(steps[0], {})
        if not isinstance(table, dict | list):
            raise PlanError("measure", [f"sets {key!r}, but {steps[0]!r} is a value, not a table"])
        _set(table, steps[1:], value, key)


def _validate(document: Document, place: str) -> PlanTable:
    """The checked tables of a document, which can also be built."""
    try:
        plan = PlanTable.model_validate(document)
    except ValidationError as fault:
        faults = [_sentence(error, document) for error in fault.errors(include_url=False)]
        raise PlanError(place, list(dict.fromkeys(faults))) from None
    if impossible := physical_faults(plan):
        raise PlanError(place, impossible)
    return plan


def _faults_of_changes(document: Document, plan_faults: set[str]) -> list[str]:
    """Faults of the plan with the settings of its measures and unknowns, beyond the faults that it has itself."""
    changes = [(f"measure {item.name!r}", item.set) for item in _valid_tables(document, "measure", MeasureTable)]
    for item in _valid_tables(document, "unknown", UnknownTable):
        unknown = Unknown(item.name or item.key, item.key, *item.range)
        changes += [
            (f"unknown {unknown.name!r}", {unknown.key: unknown.value(end)}) for end in (unknown.low, unknown.high)
        ]
    faults = [
        f"{who}: {fault}" for who, settings in changes for fault in _setting_faults(document, settings, plan_faults)
    ]
    return list(dict.fromkeys(faults))


def _valid_tables(document: Document, key: str, table: type[T]) -> list[T]:
    """The tables of a list without faults of their own, whatever other faults the plan has."""
    rows, tables = document.get(key), []
    for row in rows[:MOST_CHANGES] if isinstance(rows, list) else []:
        with suppress(ValidationError):
            tables.append(table.model_validate(row))
    return tables


def _setting_faults(document: Document, settings: Mapping[str, object], plan_faults: set[str]) -> list[str]:
    """Faults of the plan with the settings of a measure or an unknown, without those that it has itself."""
    fixed = [key for key in settings if key.split(".")[0] in FIXED]
    fixed_names = "title, [show], [climate], [power], [[measure]] and [[unknown]]"
    faults = [f"{key!r} may not be set here; {fixed_names} are the same for all designs" for key in fixed]
    try:
        allowed = {key: value for key, value in settings.items() if key not in fixed and _has_tables(document, key)}
        _validate(with_settings(document, allowed), "plan")
    except PlanError as fault:
        faults += [text for text in fault.faults if text not in plan_faults]
    return faults


def _has_tables(document: Document, key: str) -> bool:
    """Whether a key begins with a table or several; where it does not, the plan's own fault tells so."""
    node = document.get(key.split(".")[0], {})
    return isinstance(node, dict) or (isinstance(node, list) and all(isinstance(item, dict) for item in node))


def _sentence(error: Any, document: Document) -> str:
    """The sentence for one pydantic error: place, value, what is wrong, what to write."""
    loc = tuple(step for step in error["loc"] if step not in UNION_STEPS)
    place, kind, value = _place(loc, document), error["type"], _shown(error.get("input"))
    if kind == "value_error":
        return f"{place}: {error['ctx']['error']}" if loc else str(error["ctx"]["error"])
    if kind == "extra_forbidden":
        return f"{place}: unknown key; {nearest(str(loc[-1]), list(_table_at(loc[:-1]).model_fields))}"
    if loc != error["loc"]:
        return f"{place}: {value} is not one number, with its unit in quotes; write {_example(loc)}"
    if kind in ("missing", "too_short"):
        return f"{place}: {'missing' if kind == 'missing' else 'empty'}; write {_example(loc)}"
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"{place}: {value} is a single value, but this is a table; write {_example(loc)}"
    if kind == "list_type":
        written = "a single table" if isinstance(error.get("input"), dict) else value
        return f"{place}: {written} is not a list; write {_example(loc)}"
    if kind.startswith("int_"):
        return f"{place}: {value} is not a whole number; write {_example(loc)}"
    if kind in BOUNDS:
        return f"{place}: {BOUNDS[kind].format(value=value, **error.get('ctx', {}))}"
    return f"{place}: {value} is not accepted ({error['msg'][0].lower()}{error['msg'][1:]})"


def _shown(value: object) -> str:
    """A value in a message: text in quotes, and only its beginning."""
    return repr(value[:60]) if isinstance(value, str) else repr(value)[:60]


def _place(loc: tuple[int | str, ...], document: Document) -> str:
    """A place in the document, such as "tank 1 ('perch tank'), diameter"."""
    words: list[str] = []
    node: Any = document
    for step in loc:
        node = node[step] if _has(node, step) else None
        if isinstance(step, int):
            name = node.get("name") if isinstance(node, dict) else None
            words[-1] += f" {step + 1}" + (f" ({str(name)[:40]!r})" if name else "")
        else:
            words.append(step)
    return ", ".join(words) or "plan"


def _has(node: Any, step: int | str) -> bool:
    """Whether a table has a key, or a list an index."""
    if isinstance(node, dict):
        return step in node
    return isinstance(node, list) and isinstance(step, int) and step < len(node)


def _example(loc: tuple[int | str, ...]) -> str:
    """What to write for a key: its example, or else the heading of its table."""
    steps = [step for step in loc if isinstance(step, str)]
    key, table = steps[-1], ".".join(steps)
    examples = key_texts(_table_at(tuple(steps[:-1])))[key].get("examples")
    if examples:
        return f"for example {key} = {_toml(examples[0])}"
    return f"a table [[{table}]]" if key in LISTS else f"a table [{table}]"


def _toml(value: Any) -> str:
    """A value as text of a plan file; the strings, numbers and lists of JSON are also TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_toml(item)}" for key, item in value.items()) + " }"
    return json.dumps(value, ensure_ascii=False)


def _table_at(loc: tuple[int | str, ...]) -> type[BaseModel]:
    """The table of the plan file's schema at a place."""
    model: type[BaseModel] = PlanTable
    for step in loc:
        if isinstance(step, int):
            continue
        annotation = model.model_fields[step].annotation
        model = next(item for item in _types_within(annotation) if issubclass(item, BaseModel))
    return model


def _types_within(annotation: Any) -> list[type]:
    """The classes that an annotation consists of."""
    if isinstance(annotation, type) and not get_args(annotation):
        return [annotation]
    return [item for part in get_args(annotation) for item in _types_within(part)]
