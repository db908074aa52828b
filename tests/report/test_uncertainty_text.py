"""The table of assumed values: its ranges read from low to high."""

from __future__ import annotations

from thermal.analysis.uncertainty import unknowns
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report.uncertainty_text import presets_table


def test_the_lowest_of_a_range_is_not_above_its_highest(case_with):
    """Ranges are kept from the least heat loss to the most: contact under vessels 0.1 to 0, tap water 10 to 4 °C."""
    plan = case_with().plan
    assert any(first > last for first, _, last in unknowns(plan).values())
    for system in ("metric", "us"):
        cells = presets_table(plan, UNIT_SYSTEMS[system]).cells
        assert {row[0] for row in cells} == set(unknowns(plan))
        for name, likely, low, high, _ in cells:
            assert float(low) <= float(likely) <= float(high), name
