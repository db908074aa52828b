"""Values in the types of JSON."""

from __future__ import annotations

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
