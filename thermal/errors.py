"""Errors that a user can read and mend.

OverwinterError
├── PlanError      the plan file is not understood
├── ClimateError   the weather is missing, broken or too thin
├── SizingError    no answer exists within the limits asked for
└── ClosureError   energy is not conserved: a fault of the tool

The command layer alone turns these into exit codes.
"""

from __future__ import annotations


class OverwinterError(Exception):
    """Something the user can read and mend."""


class PlanError(OverwinterError):
    """One or more faults of a plan file, all listed at once.

    Parameters
    ----------
    place : str
        The file (or other origin) the faults are in.
    faults : list of str
        One sentence each: key, value, what was expected.
    """

    def __init__(self, place: str, faults: list[str]) -> None:
        self.place = place
        self.faults = faults
        super().__init__("\n".join(f"{place}: {fault}" for fault in faults))


class ClimateError(OverwinterError):
    """The weather file asked for cannot be used."""


class SizingError(OverwinterError):
    """A search found no answer within its limits."""


class ClosureError(OverwinterError):
    """The energy balance of a simulation does not close."""
