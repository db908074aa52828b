"""The reader of plan files: it checks a plan as a whole and reports all its faults together."""

from __future__ import annotations

import stat
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from thermal.errors import Fault, PlanError
from thermal.plan.calibration_factors import apply_factors, with_uncertain_factors
from thermal.plan.document_limits import document_faults, text_fault
from thermal.plan.fault_texts import LISTS, plan_fault
from thermal.plan.line_numbers import place_words, with_lines
from thermal.plan.model import Factors, FactorSpread, Plan, Unknown
from thermal.plan.plausibility import physical_faults
from thermal.plan.presets import Sampler, nominal, resolve_plan
from thermal.plan.schema import MeasureTable, PlanTable, UnknownTable
from thermal.plan.toml_faults import toml_faults

LARGEST_BYTES = 1 << 20
MOST_CHANGES = 30  # measures, or unknowns, that are checked; a plan with more has a fault anyway
# tables that a measure cannot change
FIXED = ("title", "show", "climate", "power", "measure", "other_way", "other_heat", "unknown")
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
    return document_of(plan_text(path), str(path))


def plan_text(path: Path) -> str:
    """Text of a plan file.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    PlanError
        When the file is missing, too large or not UTF-8.
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
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        raise PlanError(str(path), [f"is not UTF-8 text (byte {fault.start}); save it as UTF-8"]) from fault


def document_of(text: str, place: str) -> Document:
    """The text of a plan file as nested TOML tables, not yet checked.

    Raises
    ------
    PlanError
        When it is not TOML.
    """
    if beyond := text_fault(text):
        raise PlanError(place, [beyond])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise PlanError(place, toml_faults(text)) from fault
    except RecursionError as fault:
        raise PlanError(
            place, ["tables are nested too deeply for a plan; remove the brackets that are too many"]
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
    if limits := document_faults(document):
        raise PlanError(place, [Fault(f"{place_words(loc, document)}: {what}", loc) for loc, what in limits])
    return _plan_within_limits(document, place, sampler)


def _plan_within_limits(document: Document, place: str, sampler: Sampler) -> Plan:
    """The resolved plan of a document that breaks no limit."""
    entry, faults = None, []
    try:
        entry = _validate(document, place)
    except PlanError as fault:
        faults = fault.faults
    faults = faults + _faults_of_changes(document, set(faults))
    if entry is None or faults:
        raise PlanError(place, faults)
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
    text = plan_text(Path(path))
    document = document_of(text, str(path))
    try:
        return plan_of(document, str(path))
    except PlanError as fault:
        raise PlanError(str(path), with_lines(text, fault.faults)) from None


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
    read = plan_of if document_faults(dict(settings)) else _plan_within_limits  # the rest was read within them before
    return replace(read(with_settings(document, settings), "measure", sampler), units=plan.units)


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
        faults = [plan_fault(error, document, PlanTable) for error in fault.errors(include_url=False)]
        raise PlanError(place, list(dict.fromkeys(faults))) from None
    if impossible := physical_faults(plan):
        raise PlanError(place, impossible)
    return plan


def _faults_of_changes(document: Document, plan_faults: set[str]) -> list[str]:
    """Faults of the plan with the settings of its measures and unknowns, beyond the faults that it has itself."""
    changes: list[tuple[str, tuple[int | str, ...], Mapping[str, object]]] = [
        (f"measure {item.name!r}", ("measure", number, "set"), item.set)
        for number, item in _valid_tables(document, "measure", MeasureTable)
    ]
    for number, item in _valid_tables(document, "unknown", UnknownTable):
        unknown = Unknown(item.name or item.key, item.key, *item.range)
        changes += [
            (f"unknown {unknown.name!r}", ("unknown", number, "range"), {unknown.key: unknown.value(end)})
            for end in (unknown.low, unknown.high)
        ]
    faults = [
        Fault(f"{who}: {fault}", keys)
        for who, keys, settings in changes
        for fault in _setting_faults(document, settings, plan_faults)
    ]
    return list(dict.fromkeys(faults))


def _valid_tables(document: Document, key: str, table: type[T]) -> list[tuple[int, T]]:
    """The tables of a list without faults of their own, with their index, whatever other faults the plan has."""
    rows, tables = document.get(key), []
    for number, row in enumerate(rows[:MOST_CHANGES] if isinstance(rows, list) else []):
        with suppress(ValidationError):
            tables.append((number, table.model_validate(row)))
    return tables


def _setting_faults(document: Document, settings: Mapping[str, object], plan_faults: set[str]) -> list[str]:
    """Faults of the plan with the settings of a measure or an unknown, without those that it has itself."""
    fixed = [key for key in settings if key.split(".")[0] in FIXED]
    fixed_names = "title, [show], [climate], [power], [[measure]], [[other_way]], [other_heat] and [[unknown]]"
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
