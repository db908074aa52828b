"""Electric circuits as a plan writes them: one text such as "15 A 120 V", or a list of them."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

CIRCUIT_A, CIRCUIT_V = (2.0, 400.0), (100.0, 480.0)  # mains circuits: the smallest heater on sale fits each of them
MOST_CIRCUITS = 20
AMERICAN_V = (110.0, 115.0, 120.0, 208.0, 240.0)


@lru_cache(maxsize=64)
def circuit_rating(circuit: str) -> tuple[float, float]:
    """Amperes [A] and volts [V] of a circuit as written, "15 A 120 V"."""
    amperes, volts = (float(number) for number in re.findall(r"\d+(?:\.\d+)?", circuit))
    return amperes, volts


def is_american(circuit: str) -> bool:
    """Whether the voltage of a circuit is one of North America's."""
    return circuit_rating(circuit)[1] in AMERICAN_V


def read_circuit(value: object) -> str:
    """A circuit as written, amperes and volts; ValueError for any other text."""
    if not re.fullmatch(r"\s*\d+(\.\d+)?\s*A\s+\d+(\.\d+)?\s*V\s*", str(value)):
        raise ValueError(f'{str(value)[:60]!r} is not a circuit; write amperes and volts, for example "15 A 120 V"')
    circuit = str(value).strip()
    amperes, volts = circuit_rating(circuit)
    if not (CIRCUIT_A[0] <= amperes <= CIRCUIT_A[1] and CIRCUIT_V[0] <= volts <= CIRCUIT_V[1]):
        raise ValueError(
            f"{circuit[:60]!r} is out of range; write a mains circuit of {CIRCUIT_A[0]:g} to {CIRCUIT_A[1]:g} A and"
            f" {CIRCUIT_V[0]:g} to {CIRCUIT_V[1]:g} V"
        )
    return circuit


def read_circuits(value: object) -> tuple[str, ...]:
    """Circuits as written, from one text or a list of them; ValueError for any other value."""
    circuits = value if isinstance(value, list | tuple) else [value]
    if not 1 <= len(circuits) <= MOST_CIRCUITS:
        raise ValueError(
            f'{len(circuits)} circuits are out of range; write 1 to {MOST_CIRCUITS}, for example ["15 A 120 V",'
            ' "20 A 120 V"]'
        )
    return tuple(read_circuit(circuit) for circuit in circuits)


Circuits = Annotated[
    tuple[str, ...],
    BeforeValidator(read_circuits),
    WithJsonSchema({"type": ["array", "string"], "items": {"type": "string"}}),
]
