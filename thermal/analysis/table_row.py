"""One row of a table of many plans: the answer of one plan in one climate with one setting."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

YES, NO, NONE = "yes", "no", "none"  # of `TableRow.verdict`
LIMITS, LARGEST = {"latitude": 90.0, "longitude": 180.0}, 1e12  # of figures of a row; a map cannot show larger ones
WEEK_H = 168.0  # the longest time after a power cut that is simulated


@dataclass(frozen=True)
class TableRow:
    """The answer of one plan in one climate with one setting; small plain values only.

    A figure is None where there is none: every figure of a row with a fault, energy and cost of a winter where the
    weather file has no complete winter, those of the worst where it has only one.

    Attributes
    ----------
    plan, title, climate, setting : str
        Plan file or name; its title; weather file; settings as "key=value", several with "; " between.
    verdict : str
        "yes" where water and air are warm enough for all inhabitants in the coldest winter with the recommended
        heaters on, else "no"; "none" where there is no answer.
    too_cold : str
        Who is too cold, such as "air too cold for lettuce"; empty where the verdict is "yes".
    heater_needed_w, heater_needed_w_low, heater_needed_w_high : float or None
        Smallest heater that keeps the minimum in every hour of every winter at the likely inputs, and its band [W].
    buy : str
        Heaters to buy; "nothing" where none is needed or those owned are enough.
    buy_w : float or None
        Their power together [W].
    currency : str
        Of the costs.
    typical_kwh, typical_kwh_low, typical_kwh_high, typical_cost, typical_cost_low, typical_cost_high : float or None
        Heating of the typical winter, with bands [kWh, currency]. A sample has the energy of one winter at random.
    worst_kwh, worst_kwh_low, worst_kwh_high, worst_cost, worst_cost_low, worst_cost_high : float or None
        Heating of the winter with the most [kWh, currency].
    outage_h : float or None
        Hours from a power cut at the coldest hour of the worst day until the tank is at its minimum; 168 for a week or
        more [h].
    mould_h : float or None
        Hours of possible mould at the coldest inner surface in the typical winter [h].
    coldest_unheated_c : float or None
        Coldest tank of all winters without a heater [degC].
    winters, complete_winters : int or None
        Winters simulated; those of them that the weather file covers as a whole.
    samples : int or None
        Random samples behind the bands, which are their 5 % and 95 % quantiles, and behind the heaters to buy.
    latitude, longitude : float or None
        Degrees north and east; None where the weather file has no position [degree].
    fault : str
        Why there is no answer; empty where there is one.
    key : str
        Hash of all that the row depends on: plan, setting, weather file, samples, and version of the program.
    """

    plan: str
    climate: str
    setting: str = ""
    title: str = ""
    verdict: str = NONE
    too_cold: str = ""
    heater_needed_w: float | None = None
    heater_needed_w_low: float | None = None
    heater_needed_w_high: float | None = None
    buy: str = ""
    buy_w: float | None = None
    currency: str = ""
    typical_kwh: float | None = None
    typical_kwh_low: float | None = None
    typical_kwh_high: float | None = None
    typical_cost: float | None = None
    typical_cost_low: float | None = None
    typical_cost_high: float | None = None
    worst_kwh: float | None = None
    worst_kwh_low: float | None = None
    worst_kwh_high: float | None = None
    worst_cost: float | None = None
    worst_cost_low: float | None = None
    worst_cost_high: float | None = None
    outage_h: float | None = None
    mould_h: float | None = None
    coldest_unheated_c: float | None = None
    winters: int | None = None
    complete_winters: int | None = None
    samples: int | None = None
    latitude: float | None = None
    longitude: float | None = None
    fault: str = ""
    key: str = ""


COLUMNS = tuple(field.name for field in fields(TableRow))
TEXTS = frozenset(field.name for field in fields(TableRow) if field.type == "str")
COUNTS = frozenset(field.name for field in fields(TableRow) if field.type == "int | None")


def row_from(cells: dict[str, Any]) -> TableRow | None:
    """A row from cells by name, numbers as numbers or as text; None where a cell is missing or is not of its kind.

    Parameters
    ----------
    cells : dict of str to object
        As a line of a JSONL or CSV file gives them.
    """
    if set(cells) != set(COLUMNS):
        return None
    try:
        return TableRow(**{name: _read(name, value) for name, value in cells.items()})
    except (TypeError, ValueError):
        return None


def _read(name: str, value: Any) -> Any:
    """One cell in the type of its column."""
    if name in TEXTS:
        return "" if value is None else str(value)
    if value is None or value == "":
        return None
    figure = int(value) if name in COUNTS else float(value)
    if not abs(figure) <= LIMITS.get(name, LARGEST):  # nan is none either
        raise ValueError
    return figure
