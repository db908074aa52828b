"""Plans drawn from the JSON Schema of `overwinter check --schema`: a second source beside changed ready plans."""

from __future__ import annotations

import json
import random
import re
from types import SimpleNamespace
from typing import Any
from unittest import mock

import hypothesis_jsonschema._from_schema as drawn_from
from hypothesis import strategies as st

FREE = 0.05  # share of the values that may be anything that the schema allows


class Many:
    """How many keys a table gets: what hypothesis-jsonschema 0.23.1 takes from hypothesis, which no longer has it."""

    def __init__(self, data: Any, min_size: int, max_size: float, average_size: float) -> None:
        self.data, self.least, self.most, self.count = data, min_size, max_size, 0
        self.another = average_size / (1.0 + average_size)

    def more(self) -> bool:
        if self.count >= self.least and (self.count >= self.most or not self.data.draw_boolean(self.another)):
            return False
        self.count += 1
        return True

    def reject(self) -> None:
        self.count -= 1


def with_examples(node: Any, chance: random.Random) -> Any:
    """A schema whose values are the examples and the default that it gives, but for some that are left free."""
    if isinstance(node, list):
        return [with_examples(one, chance) for one in node]
    if not isinstance(node, dict):
        return node
    shown = [*node.get("examples", ()), *([node["default"]] if node.get("default") not in (None, [], {}) else [])]
    plain = [value for value in shown if not any(isinstance(one, dict | list) for one in _entries(value))]
    if plain and "properties" not in node and chance.random() > FREE:
        return {"enum": plain}
    if node.get("type") == "array" and "maxItems" not in node:
        node = {**node, "maxItems": 3}
    return {key: with_examples(value, chance) for key, value in node.items() if key not in ("examples", "default")}


def _entries(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def written(node: Any) -> Any:
    """A document without its nulls, which TOML does not have."""
    if isinstance(node, list):
        return [written(one) for one in node if one is not None]
    return {key: written(value) for key, value in node.items() if value is not None} if isinstance(node, dict) else node


def named_in(node: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    """The definitions that a schema names, and those that these name."""
    found: dict[str, Any] = {}
    left = [node]
    while left:
        for name in re.findall(r'"#/\$defs/([^"]+)"', json.dumps(left.pop())):
            if name not in found:
                found[name] = definitions[name]
                left.append(definitions[name])
    return found


def tables_by_schema(schema: dict[str, Any], seed: int = 0) -> dict[str, st.SearchStrategy[Any]]:
    """What a schema allows for each table and key of a plan; the seed chooses which values are free.

    Each is drawn alone, since hypothesis-jsonschema works out a whole plan anew for every draw, which takes longer than
    to check it.
    """
    patched = SimpleNamespace(**{**vars(drawn_from.cu), "many": Many})
    allowed = with_examples(schema, random.Random(seed))

    def drawn(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
        @st.composite
        def tables(draw: st.DrawFn) -> Any:
            with mock.patch.object(drawn_from, "cu", patched):
                return written(draw(strategy))

        return tables()

    with mock.patch.object(drawn_from, "cu", patched):
        return {
            name: drawn(drawn_from.from_schema({**table, "$defs": named_in(table, allowed["$defs"])}))
            for name, table in allowed["properties"].items()
        }
