"""Vessels, room and hut of a plan, with every preset resolved and every figure in SI units, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, replace

from thermal.core.facings import UNKNOWN
from thermal.core.schedule import NEVER, DailySchedule, by_hour
from thermal.physics.attic import ATTIC_ROOF
from thermal.physics.infiltration import mean_air_changes
from thermal.physics.sky_temperature import SKY_BELOW_AIR_K


@dataclass(frozen=True)
class Opening:
    """The part of a water surface that its cover leaves open, as a share of what a group of vessels has.

    Attributes
    ----------
    surface_m2 : float
        Its area [m2].
    evaporation, night_evaporation : float
        Evaporation there by day and at night, as a share of that of open still water [-].
    lid_r_m2k_per_w, night_lid_r_m2k_per_w : float
        Resistance there of media, and at night of a cover for the night [m2K/W].
    """

    surface_m2: float
    evaporation: float
    lid_r_m2k_per_w: float
    night_evaporation: float
    night_lid_r_m2k_per_w: float

    def under_lid(self, evaporation: float, least_r: float = 0.0, more_r: float = 0.0) -> Opening:
        """The opening with a lid over all of the vessel.

        Parameters
        ----------
        evaporation : float
            Evaporation under it at most, as a share of that of open water [-].
        least_r, more_r : float
            Resistance that there then is at least, and that is added to what there is [m2K/W].
        """
        return replace(
            self,
            evaporation=min(self.evaporation, evaporation),
            lid_r_m2k_per_w=max(self.lid_r_m2k_per_w, least_r) + more_r,
            night_evaporation=min(self.night_evaporation, evaporation),
            night_lid_r_m2k_per_w=max(self.night_lid_r_m2k_per_w, least_r) + more_r,
        )


@dataclass(frozen=True)
class FacingWall:
    """One side of a group of equal vessels that faces something else than the air around them.

    Attributes
    ----------
    name : str
        Which side: front, back, left or right; or the part below the floor.
    faces : str
        What is beyond it: house, outdoors or ground.
    area_m2 : float
        Its wetted area [m2].
    r_m2k_per_w : float
        Resistance of the wall there; what is added to walls in the air later does not reach it [m2K/W].
    """

    name: str
    faces: str
    area_m2: float
    r_m2k_per_w: float


@dataclass(frozen=True)
class Vessel:
    """A tank, or a group of equal beds, filled with water and perhaps media.

    Areas, volumes and heat capacities are those of the whole group.

    Attributes
    ----------
    name : str
        Its name.
    count : int
        Number of equal vessels.
    surface_m2, wall_m2, bottom_m2 : float
        Area of the water surface, of the wetted walls in the air around it, and of the bottom [m2].
    depth_m : float
        Depth of the water [m].
    water_m3 : float
        Water with the pump running, the mean over flood and drain [m3].
    capacity_j_per_k : float
        Heat capacity with that water [J/K].
    drained_j_per_k : float
        Heat capacity with the pump off [J/K].
    drained_water_m3 : float
        Water with the pump off [m3].
    wall_r_m2k_per_w, base_r_m2k_per_w : float
        Resistance of the walls, and of the bottom with its insulation [m2K/W].
    base : str
        What the vessel stands on: slab, frame, or ground where it is sunk into the floor.
    evaporation : float
        Evaporation as a share of that of open still water [-].
    lid_r_m2k_per_w : float
        Resistance of the cover on the water [m2K/W].
    top, insulation : str
        Cover and insulation as written.
    night_evaporation, night_lid_r_m2k_per_w : float
        Evaporation [-] and resistance [m2K/W] with the cover of the night.
    transpiration_kg_s : tuple of float, (24,)
        Vapour that the plants in it give to the air, by hour of the day [kg/s].
    opening : Opening or None
        What the cover leaves open; None where it covers all of the water.
    elsewhere : tuple of FacingWall
        Its sides that face the house or outdoors, and all walls below the floor.
    buried_m : float
        Depth of its bottom below the floor that it is sunk into [m].
    breadth_m : float
        Area of one bottom over half its perimeter [m].
    """

    name: str
    count: int
    surface_m2: float
    wall_m2: float
    bottom_m2: float
    depth_m: float
    water_m3: float
    capacity_j_per_k: float
    drained_j_per_k: float
    drained_water_m3: float
    wall_r_m2k_per_w: float
    base_r_m2k_per_w: float
    base: str
    evaporation: float
    lid_r_m2k_per_w: float
    top: str
    insulation: str
    night_evaporation: float
    night_lid_r_m2k_per_w: float
    transpiration_kg_s: DailySchedule = NEVER
    opening: Opening | None = None
    elsewhere: tuple[FacingWall, ...] = ()
    buried_m: float = 0.0
    breadth_m: float = 1.0

    @property
    def parts(self) -> tuple[Vessel, ...]:
        """The vessel with the covered part of its surface, and its opening, which has neither walls nor bottom."""
        if self.opening is None:
            return (self,)
        covered = replace(self, surface_m2=self.surface_m2 - self.opening.surface_m2, opening=None)
        bare = replace(self, wall_m2=0.0, bottom_m2=0.0, top="open", opening=None, elsewhere=())
        return covered, replace(bare, **vars(self.opening))


@dataclass(frozen=True)
class Pipe:
    """A run of pipe between tanks and beds, flow and return together.

    Attributes
    ----------
    name : str
        Its name.
    length_m : float
        Length of the whole run [m].
    diameter_m : float
        Outside diameter without insulation [m].
    insulation : str
        Its insulation as written.
    layers : tuple of (float, float)
        Thickness [m] and heat conductivity [W/mK] of each layer of it, from the inside.
    where : str
        The air around it: system (as around the tank) or room.
    water_m3 : float
        Water in it, with the pump on or off [m3].
    """

    name: str
    length_m: float
    diameter_m: float
    insulation: str
    layers: tuple[tuple[float, float], ...]
    where: str
    water_m3: float

    @property
    def outer_m(self) -> float:
        """Outside diameter with its insulation. [m]"""
        return self.diameter_m + 2.0 * sum(thickness for thickness, _ in self.layers)


@dataclass(frozen=True)
class Side:
    """One side of the room.

    Attributes
    ----------
    name : str
        Its name.
    area_m2 : float
        Its area [m2].
    r_m2k_per_w : float
        Resistance from surface to surface [m2K/W].
    mass_j_per_m2k : float
        Heat capacity for each area [J/m2K].
    faces : str
        What is beyond it: outdoors, house, attic or ground.
    build : str
        What it is made of, as written.
    attic_w_per_m2k : float
        Conductance of the roof from the attic to outdoors, for each m2 of ceiling [W/m2K]; not used where it faces
        something else.
    bridges_w_per_m2k : float
        Addition for thermal bridges to its U-value [W/m2K]; 0 where it faces the house or the ground.
    facing : str
        Direction of its outer surface, one of `core.facings.FACINGS`; that of the roof over an attic.
    absorptance : float
        Share of the sun on that surface that it takes up [-].
    g : float
        Share of the sun at right angles that it lets in, frame included; 0 for an opaque side [-].
    """

    name: str
    area_m2: float
    r_m2k_per_w: float
    mass_j_per_m2k: float
    faces: str
    build: str
    attic_w_per_m2k: float = ATTIC_ROOF
    bridges_w_per_m2k: float = 0.0
    facing: str = UNKNOWN
    absorptance: float = 0.6
    g: float = 0.0


@dataclass(frozen=True)
class FloorSlab:
    """The slab of the room and the ground under it.

    Attributes
    ----------
    build : str
        What the floor is made of, as written.
    r_m2k_per_w : float
        Resistance of its insulation [m2K/W].
    mass_j_per_m2k : float
        Heat capacity of the slab for each area [J/m2K].
    soil : str
        The kind of ground.
    soil_w_per_mk : float
        Heat conductivity of the ground [W/mK].
    soil_j_per_m3k : float
        Heat capacity of the ground for each volume [J/m3K].
    edge_r_m2k_per_w, edge_depth_m : float
        Resistance [m2K/W] and depth [m] of the insulation along the edge.
    outdoor_swing : float
        Share of the outdoor air's yearly swing that reaches the slab beside the damped wave of the ground [-].
    yearly_mean_shift_k : float
        Yearly mean outdoors less that estimated from the weather file [K].
    by_perimeter : bool
        Whether its loss follows the F-factor method, and not ISO 13370.
    """

    build: str
    r_m2k_per_w: float
    mass_j_per_m2k: float
    soil: str
    soil_w_per_mk: float
    soil_j_per_m3k: float
    edge_r_m2k_per_w: float = 0.0
    edge_depth_m: float = 0.0
    outdoor_swing: float = 0.0
    yearly_mean_shift_k: float = 0.0
    by_perimeter: bool = False


@dataclass(frozen=True)
class Room:
    """The room that the system stands in.

    Attributes
    ----------
    length_m, width_m, height_m : float
        Inner size [m].
    air_changes_per_h : float
        Air exchanged with outdoors at a constant rate, in volumes of the room [1/h].
    leakiness : str
        Air changes as written.
    leakage_area_cm2 : float
        Effective leakage area [cm2], that of air changes given by name among it; its air change follows wind and cold.
    door_openings_per_day : float
        Door openings [1/day].
    temperature_c : float or None
        Given temperature of the air [degC]; the envelope is then not simulated. None where it is simulated.
    humidity : float
        Relative humidity of given air [-].
    house_c : float
        Temperature of the house beside the room [degC].
    sides : tuple of Side
        Walls, doors, windows and ceiling.
    floor : FloorSlab
        The floor.
    outdoor_humidity : float
        Factor on the humidity of the outdoor air [-].
    bridges : str
        Thermal bridges as written.
    sky_below_k : float
        How far a sky of which the weather file says nothing is below the air [K].
    sun_from_cloud : float
        Factor on the sun that is worked out from cloud cover [-].
    night_c, house_night_c : float or None
        Temperature of given air, and of the house, at night [degC]; None where it is that of the day.
    night_hours : tuple of float, (24,)
        Share of each hour of the day that is night for them [-].
    """

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
    outdoor_humidity: float = 1.0
    bridges: str = "none"
    sky_below_k: float = SKY_BELOW_AIR_K
    sun_from_cloud: float = 1.0
    night_c: float | None = None
    house_night_c: float | None = None
    night_hours: DailySchedule = NEVER

    @property
    def cools_at_night(self) -> bool:
        """Whether given air, or the house, has another temperature at night."""
        return self.night_c is not None or self.house_night_c is not None

    @property
    def given_by_hour_c(self) -> tuple[float, ...]:
        """Given temperature of the air by hour of the day, (24,); zeros where it is simulated. [degC]"""
        return by_hour(self.temperature_c or 0.0, self.night_c, self.night_hours)

    @property
    def house_by_hour_c(self) -> tuple[float, ...]:
        """Temperature of the house by hour of the day, (24,). [degC]"""
        return by_hour(self.house_c, self.house_night_c, self.night_hours)

    @property
    def volume_m3(self) -> float:
        """Volume of the air. [m3]"""
        return self.length_m * self.width_m * self.height_m

    @property
    def floor_m2(self) -> float:
        """Area of the floor. [m2]"""
        return self.length_m * self.width_m

    @property
    def mean_air_changes_per_h(self) -> float:
        """Air changes an hour, those through cracks at their mean of a winter. [1/h]"""
        return self.air_changes_per_h + float(mean_air_changes(self.leakage_area_cm2, self.volume_m3))

    @property
    def perimeter_m(self) -> float:
        """Perimeter of the floor. [m]"""
        return 2.0 * (self.length_m + self.width_m)


@dataclass(frozen=True)
class Hut:
    """A curtain, tent or foam hut round the system, inside the room.

    Attributes
    ----------
    build : str
        What it is made of, as written.
    floor_m2, skin_m2, volume_m3 : float
        Area of its floor, and of its sides and roof [m2], and volume of its air [m3].
    r_m2k_per_w : float
        Resistance of the skin from surface to surface [m2K/W].
    air_changes_per_h : float
        Air exchanged, in volumes of the hut [1/h].
    air_from : str
        What it exchanges it with: room, outdoors or house.
    """

    build: str
    floor_m2: float
    skin_m2: float
    volume_m3: float
    r_m2k_per_w: float
    air_changes_per_h: float
    air_from: str = "room"
