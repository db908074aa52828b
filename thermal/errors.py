"""Errors that a user can read and mend.

OverwinterError
├── PlanError      the plan file is not understood
├── WattsError     a power that no heater has
├── ClimateError   the weather is missing, broken or too thin
├── SizingError    no answer exists within the limits asked for
└── ClosureError   energy is not conserved: a fault of the tool

The command layer alone turns these into exit codes.
"""

from __future__ import annotations

import re

LONGEST_SHOWN = 80  # characters of a value in a message
MOST_SHOWN = 40  # faults of one plan in a message, more than a terminal has lines
MOST_ON_ONE_LINE = 10  # faults of one plan in a cell of a table


class OverwinterError(Exception):
    """Something the user can read and mend."""


class Fault(str):
    """The sentence for one fault, which also knows the keys that lead to its place in the file.

    Parameters
    ----------
    sentence : str
        What is wrong, and what to write.
    keys : tuple of int or str
        Keys and list indices of the place, such as ("tank", 0, "diameter"); empty where it has none.
    """

    keys: tuple[int | str, ...]

    def __new__(cls, sentence: str, keys: tuple[int | str, ...] = ()) -> Fault:
        """The text, with its keys beside it."""
        fault = super().__new__(cls, sentence)
        fault.keys = keys
        return fault


class WattsError(OverwinterError, ValueError):
    """A power is negative, infinite or not a number."""


class PlanError(OverwinterError):
    """One or more faults of a plan file, all listed at once, or the first of them where there are very many.

    Parameters
    ----------
    place : str
        The file (or other origin) the faults are in.
    faults : list of str
        One sentence each: key, value, what was expected.
    """

    def __init__(self, place: str, faults: list[str]) -> None:
        self.place = place
        self.faults = [_with_short_values(fault) for fault in faults]
        super().__init__("\n".join(f"{place}: {fault}" for fault in self._first(MOST_SHOWN)))

    def on_one_line(self) -> str:
        """The faults without their file, as a cell of a table."""
        return "; ".join(self._first(MOST_ON_ONE_LINE))

    def _first(self, most: int) -> list[str]:
        """So many faults, and how many more there are."""
        shown: list[str] = self.faults[:most]
        more = len(self.faults) - len(shown)
        return [*shown, f"and {more:,} more fault{'s' * (more > 1)}; mend these first"] if more else shown


# A quoted value: its opening quote follows no letter, its closing quote precedes none, unlike that of "day's".
_QUOTED = re.compile(r"(?<!\w)(['\"])((?:(?!\1(?!\w)).)*)\1(?!\w)")


def _short(quoted: re.Match[str]) -> str:
    """A quoted value, cut to the longest that is shown."""
    quote, value = quoted.groups()
    return quoted[0] if len(value) <= LONGEST_SHOWN else f"{quote}{value[: LONGEST_SHOWN - 1]}…{quote}"


def _with_short_values(fault: str) -> str:
    """A fault in which every quoted value is cut to the longest that is shown."""
    cut = _QUOTED.sub(_short, fault)
    return Fault(cut, fault.keys) if isinstance(fault, Fault) else cut


class ClimateError(OverwinterError):
    """The weather file asked for cannot be used."""


class SizingError(OverwinterError):
    """A search found no answer within its limits."""


INTERNAL = "Internal error:"  # how the message of a ClosureError begins


class ClosureError(OverwinterError):
    """The energy balance of a simulation does not close."""
