"""Sentences for the faults that pydantic finds in a plan: place, value, what is wrong, what to write."""

from __future__ import annotations

from typing import Any, get_args

from pydantic import BaseModel

from thermal.core.suggest import nearest
from thermal.errors import LONGEST_SHOWN, Fault
from thermal.plan.line_numbers import place_words
from thermal.plan.table import key_texts
from thermal.plan.toml_faults import toml_value

LISTS = ("tank", "bed", "pipe", "barrel", "side", "gain", "period", "tier", "measure", "other_way", "unknown")
UNION_STEPS = ("float", "constrained-str")  # added by pydantic to the place of a value of several types
BOUNDS = {
    "greater_than_equal": "{value} is out of range; write at least {ge}",
    "less_than_equal": "{value} is out of range; write at most {le}",
    "string_type": "{value} is not text; write it in quotes",
    "string_too_long": "{value} is too long; write at most {max_length} characters",
    "too_long": "{actual_length} are too many; write at most {max_length}",
}
SINGLE_VALUE = "a single value, but this is a table"
Document = dict[str, Any]


def plan_fault(error: Any, document: Document, root: type[BaseModel]) -> Fault:
    """The fault of one pydantic error, in which a long value is cut.

    Parameters
    ----------
    error : ErrorDetails
        The error.
    document : dict
        The plan file's tables, for the names of what it is about.
    root : type
        The schema of a whole plan file.
    """
    sentence, value = _sentence(error, document, root), repr(error.get("input"))
    if len(value) > LONGEST_SHOWN:
        sentence = sentence.replace(value, f"{value[:LONGEST_SHOWN]}…")
    return Fault(sentence, tuple(step for step in error["loc"] if step not in UNION_STEPS))


def _sentence(error: Any, document: Document, root: type[BaseModel]) -> str:
    """The sentence for one pydantic error: place, value, what is wrong, what to write."""
    loc = tuple(step for step in error["loc"] if step not in UNION_STEPS)
    place, kind, value = place_words(loc, document), error["type"], _shown(error.get("input"))
    if kind == "value_error":
        return f"{place}: {error['ctx']['error']}" if loc else str(error["ctx"]["error"])
    if kind == "extra_forbidden":
        return f"{place}: unknown key; {nearest(str(loc[-1]), list(_table_at(loc[:-1], root).model_fields))}"
    if loc != error["loc"]:
        return f"{place}: {value} is not one number, with its unit in quotes; write {_example(loc, root)}"
    if kind in ("missing", "too_short"):
        return f"{place}: {'missing' if kind == 'missing' else 'empty'}; write {_example(loc, root)}"
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        written = "a list, but this is one table" if isinstance(error.get("input"), list) else SINGLE_VALUE
        return f"{place}: {value} is {written}; write {_example(loc, root)}"
    if kind == "list_type":
        written = "a single table" if isinstance(error.get("input"), dict) else value
        return f"{place}: {written} is not a list; write {_example(loc, root)}"
    if kind.startswith("bool_"):
        return f"{place}: {value} is neither true nor false; write true or false without quotes"
    if kind.startswith("int_"):
        return f"{place}: {value} is not a whole number; write {_example(loc, root)}"
    if kind in BOUNDS:
        return f"{place}: {BOUNDS[kind].format(value=value, **error.get('ctx', {}))}"
    return f"{place}: {value} is not accepted ({error['msg'][0].lower()}{error['msg'][1:]})"


def _shown(value: object) -> str:
    """A value in a message: text in quotes, and only its beginning."""
    return repr(value[:60]) if isinstance(value, str) else repr(value)[:60]


def _example(loc: tuple[int | str, ...], root: type[BaseModel]) -> str:
    """What to write for a key: its example, or else the heading of its table."""
    steps = [step for step in loc if isinstance(step, str)]
    key, table = steps[-1], ".".join(steps)
    examples = key_texts(_table_at(tuple(steps[:-1]), root))[key].get("examples")
    if examples:
        return f"for example {key} = {toml_value(examples[0])}"
    return f"a table [[{table}]]" if key in LISTS else f"a table [{table}]"


def _table_at(loc: tuple[int | str, ...], root: type[BaseModel]) -> type[BaseModel]:
    """The table of the plan file's schema at a place."""
    model = root
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
