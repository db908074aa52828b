"""Every row of reference.toml; a failure shows source, printed value, ours, tolerance and why that tolerance."""

from __future__ import annotations

import pytest

from tests.published.checks import CHECKS, ROWS, deviation, ours


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published(row):
    off = deviation(row)
    unit = "of it" if row["of"] == "rel" else "absolute"
    assert abs(off) <= row["tolerance"] + 1e-12, (
        f"{row['source']}: {row['value']}, ours {ours(row):.6g}, off by {off:.3g} {unit},"
        f" allowed {row['tolerance']:g} ({row['why']})"
    )


def test_every_check_has_a_row_and_every_row_says_why():
    assert {row["check"] for row in ROWS} == set(CHECKS)
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    for row in ROWS:
        assert row["source"]
        assert row["why"]
