"""The snug foam lid of tops.toml, which also stands for any lid without gaps."""

from __future__ import annotations

from thermal.data import tops

SNUG_LID = "snug foam lid"  # its row


def snug_lid() -> tuple[float, float]:
    """Share of open-water evaporation that it lets by [-], and its resistance [m2K/W]; the likely ones."""
    row = tops()[SNUG_LID]
    return row.evaporation[1], row.r_m2k_per_w[1]
