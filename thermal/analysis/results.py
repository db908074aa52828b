"""What the analyses find, as frozen values without logic."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class HeaterChoice:
    """The heater question answered.

    setpoint_c is the water's thermostat, or the room's when the room is heated. buy_w is empty when what is
    owned holds. coldest_c, warmest_c, hours_below and peak_duty are of `installed_w`: the units owned, else those to
    buy.
    """

    needed_w: float
    setpoint_c: float
    installed_w: tuple[float, ...]
    buy_w: tuple[float, ...]
    coldest_c: float
    warmest_c: float
    hours_below: float
    one_failed_c: float
    stuck_on_c: float
    peak_duty: float


@dataclass(frozen=True)
class Month:
    """One month of one winter."""

    month: str
    kwh: float
    cost: float
    paths_kwh: dict[str, float]
    room_paths_kwh: dict[str, float]


@dataclass(frozen=True)
class WinterCost:
    """What one winter takes."""

    label: str
    complete: bool
    kwh: float
    cost: float
    other_kwh: float
    other_cost: float


@dataclass(frozen=True)
class WinterEnergy:
    """All winters' bills, and the months of the median one."""

    winter_costs: tuple[WinterCost, ...]
    median: int
    worst: int
    months: tuple[Month, ...]
    design_at: str
    design_w: float
    design_paths_w: dict[str, float]


@dataclass(frozen=True)
class MoistureHours:
    """Hours of one winter; `side` is the one judged. None of it where the room's air is given."""

    side: str
    condensation_hours: int
    mould_hours: int


@dataclass(frozen=True)
class TimeToLimit:
    """Hours until something is reached: worst start, worst tenth, median; None beyond a week."""

    worst: float | None
    tenth: float | None
    median: float | None


@dataclass(frozen=True)
class Outage:
    """The outage question answered; hours count from the failure at the coldest hour of a day."""

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
    curve_c: tuple[float, ...]  # tank hour by hour from the worst start
    curve_lid_c: tuple[float, ...]


@dataclass(frozen=True)
class UnheatedWinter:
    """One winter without a heater.

    coldest_at is the first hour as cold as that: water that freezes stays at 0 degC for weeks. hours_frozen_room
    count room air below 0 degC, where pipes freeze.
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
    """Whether heater, pump and lights together stay within the continuous share of the circuit."""

    name: str
    limit_w: float | None
    load_w: float
    fits: bool | None
    source: str


@dataclass(frozen=True)
class PlanWarning:
    """A code that never changes and the text shown; `belief` marks advice on a common misconception."""

    code: str
    text: str
    belief: bool = False


@dataclass(frozen=True)
class DesignResult:
    """One design.

    needed_w is None where no heater is enough. kwh, cost, months and hours of moisture are of the base design's median
    winter, worst_kwh and worst_cost of the design's own worst. outage_h counts from midnight before the coldest hour of
    any winter until the tank is below its minimum; None when it never is within a week.
    """

    needed_w: float | None
    setpoint_c: float
    installed_w: tuple[float, ...]
    owned_holds: bool | None
    peak_w: float
    coldest_c: float
    kwh: float
    cost: float
    worst_kwh: float
    worst_cost: float
    months: tuple[tuple[str, float, float], ...]  # month, kWh, cost
    outage_h: float | None
    condensation_h: float  # NaN, like mould_h, where moisture was not computed (uncertainty samples)
    mould_h: float
    load_w: float
    fits: bool | None
    closure: float
    floor_c: float
    coldest_unheated_c: float | None  # None where not tested
    weighted: tuple[tuple[float, ...], ...]  # kWh times each further weight, by month of the median winter


@dataclass(frozen=True)
class Package:
    """A set of measures and what comes of it; payback in median winters, None where it never pays."""

    measures: tuple[str, ...]
    cost: float
    result: DesignResult
    saves: float  # money a median winter, against doing nothing
    payback_winters: float | None


@dataclass(frozen=True)
class RankedMeasure:
    """The measure to take next, and the package of measures with it."""

    measure: str
    cost: float
    saves: float  # beyond the measures before it
    package: Package


@dataclass(frozen=True)
class PackageComparison:
    """All packages, the bare plan first, and the choices among them; None where no package will do."""

    packages: tuple[Package, ...]
    pareto_front: tuple[int, ...]  # places of packages that no other is cheaper than both to buy and to run
    with_owned: int | None
    on_circuit: int | None
    in_budget: int | None
    ranking: tuple[RankedMeasure, ...]


@dataclass(frozen=True)
class FloorStep:
    """One minimum water temperature; `species` begin to feed or grow between the step below and this one."""

    floor_c: float
    result: DesignResult
    species: tuple[str, ...]


@dataclass(frozen=True)
class Alternative:
    """One other way to run the plan; `saves` is money a median winter, against the plan as written.

    needed_w is heat; None where no heater is enough.
    """

    name: str
    meaning: str
    needed_w: float | None
    kwh: float
    cost: float
    saves: float
    outage_h: float | None
    mould_h: float


@dataclass(frozen=True)
class PartResistance:
    """Least resistance to add to one part [m2K/W]; 0 where none is needed, None where that part alone cannot do it."""

    part: str
    r_m2k_per_w: float | None


@dataclass(frozen=True)
class RequiredInsulation:
    """The heater power given, where that limit comes from, and what each part would need."""

    watts: float
    why: str
    parts: tuple[PartResistance, ...]


@dataclass(frozen=True)
class Comparison:
    """Packages and floors; with other ways and one part alone where they were asked for."""

    comparison: PackageComparison
    floors: tuple[FloorStep, ...]
    alternatives: tuple[Alternative, ...] = ()
    insulating: RequiredInsulation | None = None


@dataclass(frozen=True)
class Interval:
    """A figure with everything at its likely value, and its 5, 50 and 95 % over all samples."""

    likely: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Sensitivity:
    """One uncertain input: its share in the uncertainty, its effect either way, and how to measure it."""

    name: str
    share: float
    heater_w: float
    kwh: float
    measure_it: str


@dataclass(frozen=True)
class Uncertainty:
    """Uncertainty of the figures. `bands` by figure; one that some samples never reach is left out."""

    samples: int
    seed: int
    bands: dict[str, Interval]
    chance_holds: float  # that the likely plan's heater keeps the minimum in every hour
    heater_w: tuple[float, ...]
    drivers: tuple[Sensitivity, ...]
