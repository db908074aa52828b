"""The plan as the physics needs it: every preset resolved, every figure in SI, nothing left to look up.

Frozen values only; `resolve.py` makes them from a plan file's entries.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from thermal.core.schedule import DailySchedule


@dataclass(frozen=True)
class Vessel:
    """A tank, or a group of equal beds, filled with water and perhaps media.

    Areas and capacities are of the whole group.
    """

    name: str
    count: int
    surface_m2: float
    wall_m2: float
    bottom_m2: float
    depth_m: float
    water_m3: float
    capacity_j_per_k: float
    drained_j_per_k: float  # heat capacity with the pump off
    drained_water_m3: float
    wall_r_m2k_per_w: float
    base_r_m2k_per_w: float
    base: str  # slab | frame
    evaporation: float  # share of open still water
    lid_r_m2k_per_w: float
    top: str
    insulation: str
    night_evaporation: float
    night_lid_r_m2k_per_w: float


@dataclass(frozen=True)
class Side:
    """One side of the room."""

    name: str
    area_m2: float
    r_m2k_per_w: float  # surface to surface
    mass_j_per_m2k: float
    faces: str  # outdoors | house | attic | ground
    build: str


@dataclass(frozen=True)
class FloorSlab:
    """The room's slab on ground."""

    build: str
    r_m2k_per_w: float
    mass_j_per_m2k: float
    soil: str
    edge_r_m2k_per_w: float = 0.0
    edge_depth_m: float = 0.0


@dataclass(frozen=True)
class Room:
    """The room the system stands in; with `temperature_c` its air is given and the envelope is not modelled."""

    length_m: float
    width_m: float
    height_m: float
    air_changes_per_h: float
    leakiness: str
    leakage_area_cm2: float
    door_openings_per_day: float
    temperature_c: float | None
    humidity: float
    house_c: float
    sides: tuple[Side, ...]
    floor: FloorSlab

    @property
    def volume_m3(self) -> float:
        """Air volume."""
        return self.length_m * self.width_m * self.height_m

    @property
    def floor_m2(self) -> float:
        """Floor area."""
        return self.length_m * self.width_m

    @property
    def perimeter_m(self) -> float:
        """Floor perimeter."""
        return 2.0 * (self.length_m + self.width_m)


@dataclass(frozen=True)
class Hut:
    """A curtain, tent or foam enclosure around the system inside the room."""

    build: str
    floor_m2: float
    skin_m2: float  # sides and roof
    volume_m3: float
    r_m2k_per_w: float  # surface to surface
    air_changes_per_h: float  # with the room


@dataclass(frozen=True)
class Load:
    """Something electrical whose watts end as heat in the system."""

    name: str
    power_w: float
    hours: DailySchedule
    to_water: float = 0.0
    to_bed: float = 0.0
    to_air: float = 0.0
    to_hut: float = 0.0


@dataclass(frozen=True)
class Pump:
    """The circulation between tank and beds."""

    flow_m3_s: float
    power_w: float
    hours: DailySchedule


@dataclass(frozen=True)
class Heater:
    """Where heat is put in and what is owned; no units means: size it."""

    where: str  # water | room
    units_w: tuple[float, ...]
    reserve: float


@dataclass(frozen=True)
class PricePeriod:
    """Hours with a price of their own."""

    months: tuple[int, ...]
    weekdays: tuple[int, ...]  # Monday 0
    hours: DailySchedule
    price: float


@dataclass(frozen=True)
class Power:
    """What electricity costs and what one circuit carries."""

    currency: str
    price: float
    periods: tuple[PricePeriod, ...]
    monthly_charge: float
    tiers: tuple[tuple[float, float], ...]  # kWh in a month above which, price
    household_kwh: float  # what the rest of the house takes in a month, before the system
    circuit: str
    circuit_w: float | None


@dataclass(frozen=True)
class Keep:
    """How cold the water may get."""

    floor_c: float
    thermostat_c: float
    upper_c: float
    cheap_c: float | None  # thermostat in the cheap hours of the tariff
    species: tuple[str, ...]


@dataclass(frozen=True)
class ClimateChoice:
    """Which hours to run, and how they are shifted to the site."""

    series: str
    file: str
    winters: tuple[int, ...]  # empty: all
    site_elevation_m: float | None
    coldest_night_c: float | None


@dataclass(frozen=True)
class Measure:
    """An insulation or equipment change with a price."""

    name: str
    cost: float
    set: dict[str, object] = field(hash=False)


@dataclass(frozen=True)
class Unknown:
    """A figure of the plan known only within a range; `form` is the text that its number goes into."""

    name: str
    key: str
    low: float
    likely: float
    high: float
    form: str  # such as "{} degC"; empty for a plain number

    def value(self, number: float) -> object:
        """The plan file's value for a number within the range."""
        return self.form.replace("{}", f"{number:.6g}") if self.form else number


@dataclass(frozen=True)
class Factors:
    """What a fit found presets to be off by; 1 is as written."""

    air_change: float = 1.0
    room: float = 1.0  # U of the sides facing outdoors and attic
    mass: float = 1.0  # heat capacity of slab and sides
    water: float = 1.0  # loss through walls of tanks and beds
    cover: float = 1.0  # evaporation


@dataclass(frozen=True)
class Plan:
    """One fully specified design."""

    title: str
    units: str
    climate: ClimateChoice
    keep: Keep
    tanks: tuple[Vessel, ...]
    beds: tuple[Vessel, ...]
    pump: Pump
    room: Room
    hut: Hut | None
    loads: tuple[Load, ...]
    heater: Heater
    power: Power
    tap_c: float
    water_change_m3_s: float
    top_off_m3_s: float  # what the grower says is added; zero if not said
    measures: tuple[Measure, ...]
    unknowns: tuple[Unknown, ...]
    source: dict[str, object] = field(default_factory=dict, hash=False, compare=False, repr=False)  # its plan file

    @property
    def water_m3(self) -> float:
        """All the water of the system."""
        return sum(vessel.water_m3 for vessel in self.tanks + self.beds)

    @property
    def electric_w(self) -> float:
        """Pump, lights and other loads at their largest together, without the heater."""
        hourly = [self.pump.power_w * self.pump.hours[h] for h in range(24)]
        return max(hourly[h] + sum(load.power_w * load.hours[h] for load in self.loads) for h in range(24))
