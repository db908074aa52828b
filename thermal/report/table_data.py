"""A table as terminal and page both show it: every cell is text, ready to print."""

from __future__ import annotations

from dataclasses import dataclass

from thermal.core.display_units import MONTHS, watts_number

MOST_WITH_CENTS = 19.995  # an amount of money above has no cents


@dataclass(frozen=True)
class Rows:
    """Headings and cells of a table.

    Attributes
    ----------
    heads : tuple of str
        Headings of the columns.
    cells : tuple of tuple of str
        Rows of cells.
    left : int
        Number of columns that hold words and are aligned left; the others hold figures.
    """

    heads: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    left: int = 1


def money(value: float | None) -> str:
    """An amount of money as text: whole from 20 on, with cents below 20; a dash for None."""
    if value is None:
        return "—"
    return f"{value:,.0f}" if abs(value) >= MOST_WITH_CENTS else f"{value:,.2f}"


def price_text(value: float | None, currency: str) -> str:
    """An amount of money with its currency as the plan writes it: a sign such as $ before it, a word after it."""
    if value is not None and len(currency) == 1 and not currency.isalpha():
        return f"{'-' if value < 0 else ''}{currency}{money(abs(value))}"
    return f"{money(value)} {currency}"


def watts(value: float | None) -> str:
    """A power [W] as a number without unit, rounded up to 10 W because the model is not more exact than that.

    None, which stands for "no heater is enough", gives "none is enough".
    """
    return "none is enough" if value is None else watts_number(value)


def energy(kwh: float) -> str:
    """An energy [kWh] as a number without unit: rounded to 10 kWh from 100 kWh on, whole below."""
    return f"{round(kwh, -1) if abs(kwh) >= 100 else kwh:,.0f}"


def heat_text(heat: float) -> str:
    """Heat [W or kWh] as a number without unit, to ten from 100 on; a gain has a minus sign, and no zero has."""
    text = energy(heat)
    return "0" if text in ("-0", "0") else text.replace("-", "−")


def provenance(text: str) -> str:
    """A source in words for a grower: one that was written down from memory is called unchecked."""
    return text.replace("from memory", "not checked against the source")


def hours(value: float | None) -> str:
    """A number of hours as text without unit, to a tenth below 10 h; None means more than a week."""
    if value is None:
        return "over a week"
    return f"{value:.1f}" if value < 10 else f"{value:.0f}"


def month_name(month: str) -> str:
    """A month such as "2016-10" as text: "Oct 2016"."""
    year, number = month.split("-")
    return f"{MONTHS[int(number) - 1][:3]} {year}"
