"""Which way an outer surface faces."""

from __future__ import annotations

AZIMUTH_DEG = {  # clockwise from north
    "north": 0.0,
    "north-east": 45.0,
    "east": 90.0,
    "south-east": 135.0,
    "south": 180.0,
    "south-west": 225.0,
    "west": 270.0,
    "north-west": 315.0,
}
ROOF, UNKNOWN = "roof", "unknown"  # flat; and a wall that may face anywhere, the mean of north, east, south and west
FACINGS = (*AZIMUTH_DEG, ROOF, UNKNOWN)
