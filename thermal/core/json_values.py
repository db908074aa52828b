"""Values in the types of JSON, and their text."""

from __future__ import annotations

import json
import math
from typing import Any


def jsonable(value: Any) -> Any:
    """A value in the types of JSON: numpy numbers become plain ones, numbers that are not finite become null."""
    if isinstance(value, dict):
        return {str(key): jsonable(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [jsonable(item) for item in value]
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value


def to_json(value: Any) -> str:
    """A value as JSON text."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
