"""What a circuit carries, in words."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from thermal.analysis.results import CircuitLoad
from thermal.report.circuit_text import circuits_sentence

LIGHTS, HEATING_MAT = SimpleNamespace(name="lights"), SimpleNamespace(name="mat")


@pytest.mark.parametrize(
    ("devices", "words"),
    [
        ({}, "pump and lights"),
        ({"loads": [LIGHTS, HEATING_MAT]}, "pump, lights and other devices"),
        ({"dehumidifier": object()}, "pump, lights and other devices"),
        ({"fan": object()}, "pump, lights and other devices"),
    ],
)
def test_the_first_circuit_names_what_it_carries_beside_heaters(devices, words):
    plan = SimpleNamespace(**{"loads": [LIGHTS], "dehumidifier": None, "fan": None, **devices})
    circuit = CircuitLoad("16 A 230 V", 2944.0, 1924.2, (800.0, 800.0), True)
    assessment: Any = SimpleNamespace(
        case=SimpleNamespace(plan=plan),
        heater=SimpleNamespace(circuits=(circuit,)),
        circuit=SimpleNamespace(assumed=False),
    )
    assert (
        circuits_sentence(assessment)
        == f"Circuits: 2 × 800 W with {words} on one 16 A 230 V circuit (1,925 of 2,944 W)."
    )
