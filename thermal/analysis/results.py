"""Results of assessing one plan: heater, winters, moisture, power outage, circuit and warnings; frozen values only.

Where a field has another name in the JSON answer, its key stands in quotes. Every field of `Outage`, `Circuit`,
`CircuitLoad`, `Month` and `PlanWarning` has its own name there.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class CircuitLoad:
    """One circuit with the heaters that it carries, the first with pump, lights and other loads too.

    Attributes
    ----------
    breaker : str
        The circuit as the plan writes it, "15 A 120 V".
    limit_w, load_w : float
        Largest continuous load, and the load [W].
    heaters_w : tuple of float
        Power of each heater on it [W].
    given : bool
        Whether the plan gives this circuit; otherwise it is assumed, or has to be added.
    """

    breaker: str
    limit_w: float
    load_w: float
    heaters_w: tuple[float, ...]
    given: bool


@dataclass(frozen=True)
class HeaterChoice:
    """The heater that a plan needs, and how the installed heaters keep the water warm.

    The installed heaters are those owned, or else those to buy.

    Attributes
    ----------
    needed_w : float
        Power that keeps the water at or above its minimum in every hour of every winter and in the rare cold spell, at
        likely values [W].
    buy_for_w : float
        Power that the heaters to buy have at least: enough in 9 of 10 samples, or about that where there are none [W].
    samples : int
        Number of samples that this rests on; 0 where it is approximate.
    setpoint_c : float
        Thermostat of the water, or of the room where the room is heated [degC]; "thermostat_c".
    installed_w : tuple of float
        Power of each installed heater [W]; "installed".
    buy_w : tuple of float
        Power of each heater to buy [W]; empty where the heaters owned are enough; "buy".
    coldest_c : float
        Coldest tank with the installed heaters [degC]; "coldest_water_c".
    warmest_c : float
        Warmest tank with the installed heaters [degC]; not in the JSON answer.
    hours_below : float
        Hours below the minimum with the installed heaters, over all winters, the one with the rare cold spell with it
        [h]; "hours_below_floor".
    one_failed_c : float
        Coldest tank with the largest installed heater off [degC]; "one_failed_coldest_c".
    one_circuit_lost_c : float
        Coldest tank with the breaker of one installed circuit off all winter, the one whose loss is worst; with the
        first circuit pump and lights stop too [degC]; "one_circuit_lost_coldest_c".
    stuck_on_c : float
        Warmest tank with the largest installed heater always on, held by the plan's timer and cut-out [degC].
    stuck_on_unguarded_c : float
        The same without the cut-out, but with the timer [degC].
    peak_duty : float
        Largest share of the installed power that the thermostat uses [-]. It holds its setting, which takes more than
        to hold the minimum; the reserve is therefore not one minus this.
    circuits : tuple of CircuitLoad
        The heaters to buy, or where none are, those installed, on their circuits; at the top of the JSON answer.
    """

    needed_w: float
    buy_for_w: float
    samples: int
    setpoint_c: float
    installed_w: tuple[float, ...]
    buy_w: tuple[float, ...]
    coldest_c: float
    warmest_c: float
    hours_below: float
    one_failed_c: float
    one_circuit_lost_c: float
    stuck_on_c: float
    stuck_on_unguarded_c: float
    peak_duty: float
    circuits: tuple[CircuitLoad, ...]

    @property
    def margin(self) -> float | None:
        """Power to buy over that needed [-]; None where none is needed, or where it does not rest on samples."""
        return self.buy_for_w / self.needed_w if self.needed_w > 0 and self.samples else None

    @property
    def reserve(self) -> float | None:
        """Installed power beyond the power needed, as a share of it [-]; None where none is needed; in the answer."""
        return sum(self.installed_w) / self.needed_w - 1.0 if self.needed_w > 0 else None


@dataclass(frozen=True)
class Month:
    """Heating of one month of one winter.

    Attributes
    ----------
    month : str
        Year and month, "2016-10".
    kwh, cost : float
        The heater's energy [kWh] and its cost [currency].
    paths_kwh : dict of str to float
        Heat that leaves the heated zone by each path; gains are negative [kWh].
    room_paths_kwh : dict of str to float
        Heat that leaves the room by each path [kWh]; empty where the room's air is given.
    """

    month: str
    kwh: float
    cost: float
    paths_kwh: dict[str, float]
    room_paths_kwh: dict[str, float]


@dataclass(frozen=True)
class WinterCost:
    """Electricity of one winter.

    Attributes
    ----------
    label : str
        The winter's name; "winter".
    complete : bool
        Whether the weather file covers the whole winter.
    kwh, cost : float
        The heater's energy [kWh] and its cost with the standing charge [currency].
    other_kwh, other_cost : float
        Energy of pump, lights, other loads and devices that dry the air [kWh], and its cost [currency]. In tiers the
        first come before heating, those devices after it.
    """

    label: str
    complete: bool
    kwh: float
    cost: float
    other_kwh: float
    other_cost: float


@dataclass(frozen=True)
class WinterEnergy:
    """Energy and cost of every winter, the months of the typical winter, and the hour of peak heat demand.

    Attributes
    ----------
    winter_costs : tuple of WinterCost
        All winters in order; in "winters" of "climate".
    median, worst : int
        Index of the typical winter and of the worst one; in "season", by name.
    months : tuple of Month
        Months of the typical winter.
    design_at : str
        Hour of peak heat demand over all winters, ISO 8601, local standard time; "at" of "design_hour".
    design_w : float
        Heater power in that hour [W]; "heater_w" of "design_hour".
    design_paths_w : dict of str to float
        Heat that leaves the heated zone by each path in that hour [W]; "paths_w" of "design_hour".
    design_in_rare_cold : bool
        Whether that hour is in the rare cold spell; "in_rare_cold" of "design_hour".
    design_room_paths_w : dict of str to float
        Heat that leaves the room by each path in that hour [W]; empty where the room's air is given; "room_paths_w" of
        "design_hour".
    """

    winter_costs: tuple[WinterCost, ...]
    median: int
    worst: int
    months: tuple[Month, ...]
    design_at: str
    design_w: float
    design_paths_w: dict[str, float]
    design_in_rare_cold: bool
    design_room_paths_w: dict[str, float]


@dataclass(frozen=True)
class WetSurface:
    """Hours in one winter in which water, or frost, forms on one surface.

    Attributes
    ----------
    surface : str
        "slab", the name of a window, or the name of a vessel followed by "walls".
    condensation_hours : int
        Hours with the surface below the dew point of the air [h].
    """

    surface: str
    condensation_hours: int


@dataclass(frozen=True)
class MoistureHours:
    """Hours of condensation and of possible mould in one winter; no side and 0 where the room's air is given.

    Attributes
    ----------
    side : str
        The side of the room with the coldest inner surface, or the skin of the hut.
    condensation_hours, mould_hours : int
        Hours with condensation, and with more than 80 % relative humidity, at that surface [h].
    fog_hours : int
        Hours in which the air around the vessels itself is saturated [h].
    surfaces : tuple of WetSurface
        The bare slab, each window that faces outdoors (not in a hut), and the walls of each vessel.
    """

    side: str
    condensation_hours: int
    mould_hours: int
    fog_hours: int = 0
    surfaces: tuple[WetSurface, ...] = ()


@dataclass(frozen=True)
class TimeToLimit:
    """Hours from the start of a power cut until a temperature limit is reached; None if later than a week.

    Attributes
    ----------
    worst, tenth, median : float or None
        The shortest time over all starts, the time that a tenth of the starts do not reach, and the median [h]; the
        last two of every second day where there are many winters.
    worst_start : str or None
        The start with the shortest time, ISO 8601, local standard time. Each limit has its own: water may fall to its
        minimum first from one start, and freeze first from another.
    """

    worst: float | None
    tenth: float | None
    median: float | None
    worst_start: str | None = None


@dataclass(frozen=True)
class Outage:
    """How long the water stays warm enough without power, and what helps.

    A power cut starts at the coldest hour of a day: every day of up to five winters; every second day of more, and
    in the coldest weather. "Minimum" is the plan's minimum water temperature.

    Attributes
    ----------
    starts : int
        Number of power cuts simulated.
    worst_start : str
        The start from which the tank reaches the minimum first, ISO 8601, local standard time.
    first : str
        The sentence to read first: oxygen runs out before the water is too cold.
    to_floor, to_lethal, to_freezing : TimeToLimit
        Time until the tank is at the minimum, at `lethal_c` and at 0 degC [h].
    lethal_c : float or None
        Highest lethal temperature of the species kept [degC]; None where no species is given.
    bed_to_floor, bed_to_freezing : TimeToLimit
        Time until the beds are at the minimum and at 0 degC [h].
    with_lid, with_blanket, with_both : TimeToLimit
        Time until the tank is at the minimum with a snug lid, with a blanket round its walls, and with both [h].
    air_pump_wh : float
        Energy of an air pump for 24 hours [Wh].
    heat_wh_worst, heat_wh_median : float
        Heat that keeps the tank at the minimum for 24 hours: the largest of all starts, and the median [Wh];
        the median of every second day where there are many winters.
    curve_c, curve_lid_c : tuple of float
        Tank at the end of each hour, as it is from `worst_start`, and with lid and blanket from the worst start of
        `with_both` [degC].
    curves_c : dict of str to tuple of float
        Tank as it is at the end of each hour from each worst start of `to_floor`, `to_lethal` and `to_freezing`, by
        that start [degC].
    warnings : tuple of PlanWarning
        Harm to people and animals that matters in a power cut.
    """

    starts: int
    worst_start: str
    first: str
    to_floor: TimeToLimit
    to_lethal: TimeToLimit
    lethal_c: float | None
    to_freezing: TimeToLimit
    bed_to_floor: TimeToLimit
    bed_to_freezing: TimeToLimit
    with_lid: TimeToLimit
    with_blanket: TimeToLimit
    with_both: TimeToLimit
    air_pump_wh: float
    heat_wh_worst: float
    heat_wh_median: float
    curve_c: tuple[float, ...]
    curve_lid_c: tuple[float, ...]
    curves_c: dict[str, tuple[float, ...]]
    warnings: tuple[PlanWarning, ...] = ()


@dataclass(frozen=True)
class UnheatedWinter:
    """One winter without a heater.

    Attributes
    ----------
    label : str
        The winter's name; "winter".
    coldest_c : float
        Coldest tank [degC]; "unheated_coldest_c".
    coldest_at : str
        First hour with that temperature, since freezing water stays at 0 degC for weeks; ISO 8601, local standard
        time; "unheated_coldest_at".
    hours_below : float
        Hours with the tank below its minimum [h]; "unheated_hours_below_floor".
    hours_ice : float
        Hours with ice in the tank [h].
    hours_frozen_room : float
        Hours with the room's air below 0 degC, when pipes freeze [h].
    coldest_outdoors_c : float
        Coldest hour outdoors [degC]; not in the JSON answer.
    """

    label: str
    coldest_c: float
    coldest_at: str
    hours_below: float
    hours_ice: float
    hours_frozen_room: float
    coldest_outdoors_c: float


@dataclass(frozen=True)
class Circuit:
    """Whether the first circuit stays within its limit for continuous loads.

    Attributes
    ----------
    name : str
        The first circuit, "16 A 230 V".
    limit_w, load_w : float
        Largest continuous load, and the load of heaters, pump, lights and other devices on this circuit [W].
    fits : bool
        Whether the load is within the limit, and no heater owned is larger than the limit of every circuit.
    source : str
        Source of the limit.
    assumed : bool
        Whether the plan gives no circuit, so that a usual one is assumed.
    """

    name: str
    limit_w: float
    load_w: float
    fits: bool
    source: str
    assumed: bool


@dataclass(frozen=True)
class PlanWarning:
    """A warning about a plan.

    Attributes
    ----------
    code : str
        A short name that never changes.
    text : str
        The sentences shown.
    belief : bool
        Whether this is advice on a common misconception.
    harm: bool
        Whether this is harm to people or animals; such warnings come first.
    """

    code: str
    text: str
    belief: bool = False
    harm: bool = False
