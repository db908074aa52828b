"""A table as terminal and page both show it: words already formatted, nothing left to work out."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Rows:
    """Headings and cells; the first `left` columns are words, the others figures."""

    heads: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    left: int = 1


def money(value: float | None) -> str:
    """An amount to the whole unit from ten on, to the cent below; a dash for none."""
    if value is None:
        return "—"
    return f"{value:,.0f}" if abs(value) >= 10 else f"{value:,.2f}"


def watts(value: float | None) -> str:
    """Watts to the ten: more digits than that are not known."""
    return "none is enough" if value is None else f"{round(value, -1):,.0f}"


def energy(kwh: float) -> str:
    """Kilowatt-hours in a sentence: to the ten from a hundred on, whole below."""
    return f"{round(kwh, -1) if abs(kwh) >= 100 else kwh:,.0f}"


def percent(share: float, decimals: int = 0) -> str:
    """A share of 1 as per cent, in the one style of all texts: 0.2 is "20 %"."""
    return f"{100.0 * share:.{decimals}f} %"


def provenance(text: str) -> str:
    """A source as a grower reads it: what was written down from memory is said to be unchecked."""
    return text.replace("from memory", "not checked against the source")


def hours(value: float | None) -> str:
    """Hours; beyond a week nothing was counted."""
    return "over a week" if value is None else f"{value:,.0f}"
