"""One implicit step of a batch: the heat and vapour balance of every node.

Coefficients that depend on temperature are renewed every `RENEW_H` hours, the matrix with them; a step then only
substitutes. Water nodes advance by the theta method fitted to the exponential (Liniger & Willoughby 1970), so
that an hour is not too long for them; light nodes by implicit Euler, which never rings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from thermal.air import CP_AIR, Array, dry_air_density, vapour_pressure
from thermal.elimination import Factors, Scratch, System, eliminate, substituted
from thermal.exchange import Coefficients, VapourBalance, coefficients, vapour_balance
from thermal.network import Network, RoomAir, Vessels
from thermal.paths.infiltration import leakage_flow
from thermal.paths.surface import replaced_vapour_enthalpy

HOUR_S = 3600.0
RENEW_H = 4  # as good as every hour for the water, thanks to the lead (tests/laws/test_accuracy.py)
NIGHT = frozenset((*range(20, 24), *range(8)))  # hours a night cover is on; RENEW_H divides both ends
HOTTEST_C = 45.0  # coefficients go no further: only a heater stuck on gets there, and vapour would run away
LEAD = 0.5  # coefficients are taken at the temperatures expected in the middle of their term
OUTDOOR, HUMIDITY, WIND, COSINE, SINE = range(5)  # channels of `Drive`


class Hold(NamedTuple):
    """Setpoint [degC] and limits [W] of the heater in the last node."""

    setpoint_c: Array
    min_w: Array
    max_w: Array


@dataclass(slots=True)
class State:
    """Everything a step hands to the next, one column a design-winter; written to in place."""

    temperature_c: Array  # (node, column); the stepper's own flux once it has adopted the state
    water_c: Array  # its rows of water
    ratio: Array  # humidity ratio of the room's air, (column,)
    wall_excess: Array  # (vessel, column)
    ice_j: Array  # latent heat given up by freezing, (lump, column)
    icy: bool  # whether any column has ice
    running: Array  # whether the pump runs, (column,)
    renewed_c: Array  # temperatures at the last renewal of coefficients, (node, column)


class Fixed(NamedTuple):
    """What holds until the next renewal."""

    factors: Factors
    heat_w_per_k: Array  # (node, column): capacity over step, over theta for water
    lump_j_per_k: Array  # (lump, column)
    coefficients: Coefficients | None = None
    to_air_w_per_k: Array | None = None  # (lump, column): walls and open surface
    longwave_w_per_k: Array | None = None  # (lump, column)
    vapour: VapourBalance | None = None
    enthalpy_j_per_kg: Array | None = None  # (vessel, column)
    latent_w: Array | None = None  # (lump, column): heat of evaporation into bone-dry air, less given air's heat
    latent_relief: Array | None = None  # (lump, column): less of it for each unit of the air's humidity ratio
    leak_w_per_k: Array | None = None


class Day(NamedTuple):
    """What the steps of one day did, step by step; overwritten the next day. Flows in W.

    Every list holds one row for each step: views of one array, made once, because making a view in every step
    would cost as much as the arithmetic of a single design. The whole arrays stand beside them.
    """

    all_mean_c: Array  # (step, node, column); empty unless kept
    all_ratio: Array  # (step, column)
    all_water_c: Array  # (step, lump, column)
    all_watts: Array  # (step, column)
    all_gained_w: Array  # (step, lump, column)
    all_condensing_w: Array  # (step, column)

    mean_c: list[Array] | None  # (node, column): the temperatures at which heat flowed; kept for a trace only
    mean_sum: Array  # (booked node, column): their sum over the day
    water_c: list[Array]  # (lump, column): at the end of the step
    watts: list[Array]  # the heater
    ratio: list[Array]  # humidity ratio of the air at the end
    gained_w: list[Array]  # (lump, column): what humid air spares the water of the heat of dry evaporation
    condensing_w: list[Array]
    freezing_j: Array  # (column,): heat that freezing gave, all day
    ice_j: list[Array]  # (lump, column)
    fixed: list[Fixed]
    terms: list[Fixed]  # each set of coefficients once, with
    term_steps: list[int]  # how many steps it held


class Known(NamedTuple):
    """What is known of a day before it is marched; by hour."""

    weather: list[Array]  # (channel, column)
    humidity: Array  # (hour, column)
    season_w: Array  # (node, column): the ground's


class Term(NamedTuple):
    """What holds for some hours: coefficients, and the heat and setpoint that go with them."""

    fixed: Fixed
    steady_w: Array  # (node, column): sources, season, dry evaporation
    reach_w_per_k: Array  # the heater's target for each degree the last node has now, (column,)
    target_w: Array  # and the rest of it
    min_w: Array
    max_w: Array


@dataclass(frozen=True)
class Stepper:
    """A network made ready for steps of one length."""

    network: Network
    dt_s: float
    pressure_pa: float
    vessel_lump: slice | list[int]  # node of each vessel row
    lumps: slice  # water nodes; empty for a bare room
    vessels_single: tuple[Vessels, Vessels] | None  # by day and by night, in single precision, for the coefficients
    source: tuple[int, ...]  # row of `sources_w` for each hour of the day
    sources_w: Array  # the distinct hours' sources, (kind, node, column)
    switching: tuple[bool, ...]  # for each hour of the day: whether any pump changes then
    leaky: bool
    constant: int  # nodes that are eliminated once: no link of theirs ever changes
    reduced: System  # what is left after that
    changing: System  # the same with the hour's conductances, overwritten
    factors: Factors
    heat_w_per_k: Array  # (node, column), as in `Fixed` while the pump runs
    theta: Array  # (lump, column)
    inverse_theta: Array
    drains: bool  # whether any bed ever drains
    work: Scratch
    outdoor_w_per_k: Array  # (row linked to outdoors, column)
    product_outdoor: Array  # room for its product
    flux_outdoor: Array  # views of the scratch flux: rows linked to outdoors,
    flux_lumps: Array  # the water,
    booked: slice  # and the rows whose conductances to the outside never change
    flux_booked: Array

    @property
    def wants_means(self) -> bool:
        """Whether the ledger needs every step's temperatures: conductances to the outside change."""
        room = self.network.room_air
        return room is None or room.node is None or self.leaky

    def known(self, weather: Array) -> Known:
        """A day's weather, shape (24, channel, column), and what follows from it alone."""
        network = self.network
        season = network.season_w[0] * weather[0, COSINE] + network.season_w[1] * weather[0, SINE]
        return Known(list(weather), weather[:, HUMIDITY], season)

    def adopt(self, state: State) -> None:
        """Step this state from now on: its temperatures move to where the steps are solved."""
        np.copyto(self.work.flux, state.temperature_c)
        state.temperature_c = self.work.flux
        state.water_c = self.flux_lumps.copy()

    def renewed(self, state: State, known: Known, hour: int) -> Fixed:
        """Coefficients and factors for the state now."""
        network = self.network
        vessels, room = network.vessels, network.room_air
        if vessels is None or room is None or self.vessels_single is None:
            return self.factored(Fixed(self.factors, self.heat_w_per_k, network.capacity_j_per_k), state, hour)
        single = self.vessels_single[hour in NIGHT]
        now = state.temperature_c.astype(np.float32)
        t = now - state.renewed_c
        t *= LEAD
        t += now
        water = np.minimum(t[self.vessel_lump], HOTTEST_C)
        air = room.given_c.astype(np.float32) if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        ratio = state.ratio.astype(np.float32)
        c = coefficients(single, water, air, radiant, ratio, state.wall_excess, self.pressure_pa)
        enthalpy = replaced_vapour_enthalpy(water, single.tap_c)
        relief = c.mass_kg_s * enthalpy
        to_air = by_lump(c.convection_w_per_k + c.wall_w_per_k, vessels)
        longwave = by_lump(c.longwave_w_per_k, vessels)
        latent = by_lump(relief * c.water_ratio, vessels)
        vapour, leak = None, None
        if room.node is None:
            latent -= (to_air + longwave) * room.given_c
        else:
            beyond = known.weather[hour][OUTDOOR] if room.beyond_node is None else t[room.beyond_node]
            vapour, leak = self._room_air(c, room, air, beyond, known, hour)
        state.wall_excess, state.renewed_c = c.wall_excess, now
        heat, lumps_j = self.heat_w_per_k, network.capacity_j_per_k
        fixed = Fixed(
            self.factors, heat, lumps_j, c, to_air, longwave, vapour, enthalpy, latent, by_lump(relief, vessels), leak
        )
        return self.factored(fixed, state, hour)

    def _room_air(
        self, c: Coefficients, room: RoomAir, air: Array, beyond: Array, known: Known, hour: int
    ) -> tuple[VapourBalance, Array | None]:
        """The room's vapour balance, and what its cracks add to air change [W/K]."""
        cold = np.empty((2, len(air)), np.float32)
        cold[0] = air - room.coldness * (air - beyond)
        cold[1] = air
        change, leak = room.change_kg_s, None
        if self.leaky:
            weather = known.weather[hour]
            vapour = vapour_pressure(weather[HUMIDITY], self.pressure_pa)
            density = dry_air_density(weather[OUTDOOR], vapour, self.pressure_pa)
            kg_s = density * leakage_flow(room.leak_cm2, cold[1] - weather[OUTDOOR], weather[WIND])
            change, leak = change + kg_s, kg_s * CP_AIR
        brought = known.humidity[hour : hour + RENEW_H]
        return vapour_balance(room, c, cold, change, brought, self.dt_s, self.pressure_pa), leak

    def factored(self, fixed: Fixed, state: State, hour: int) -> Fixed:
        """The same coefficients with the matrix of the hour's pump flow; the stepper's factors are overwritten."""
        network, vessels, room, first = self.network, self.network.vessels, self.network.room_air, self.constant
        net = self.changing
        np.copyto(net.block, self.reduced.block)
        lumps = slice(self.lumps.start - first, self.lumps.stop - first)
        heat = self.heat_w_per_k
        lump_j_per_k = network.capacity_j_per_k[self.lumps]
        if vessels is not None and room is not None and fixed.coefficients is not None:
            _link_water(net, fixed, lumps, room, first)
            if len(vessels.lumps) > 1:
                if self.drains:
                    lump_j_per_k = self._lump_capacity(vessels, state.running)
                    heat = heat.copy()
                    heat[self.lumps] = lump_j_per_k * self.inverse_theta / self.dt_s
                flow = vessels.flow_w_per_k[hour]
                net.diagonal[lumps] += flow
                net.rows[lumps.start][0] += flow
            net.diagonal[lumps] += heat[self.lumps]
        eliminate(self.factors.pivots[first:])
        np.divide(1.0, self.factors.diagonal, out=self.factors.inverse)
        return fixed._replace(factors=self.factors, heat_w_per_k=heat, lump_j_per_k=lump_j_per_k)

    def switched(self, state: State, hour: int) -> None:
        """The pumps as they are from this hour on: draining beds give their water to the tank, or take it back."""
        vessels = self.network.vessels
        assert vessels is not None
        bed, tank = vessels.lumps
        runs = vessels.flow_w_per_k[hour] > 0
        before = self._lump_capacity(vessels, state.running)
        after = self._lump_capacity(vessels, runs)
        t = state.temperature_c
        moved = before[0] - after[0]
        t[tank] = np.where(moved > 0, (before[1] * t[tank] + moved * t[bed]) / after[1], t[tank])
        t[bed] = np.where(moved < 0, (before[0] * t[bed] - moved * t[tank]) / after[0], t[bed])
        state.running = runs
        state.water_c = t[self.lumps].copy()

    def _lump_capacity(self, vessels: Vessels, running: Array) -> Array:
        """Heat capacity of bed and tank with the bed drained where the pump rests. [J/K]"""
        moved = np.where(running, 0.0, vessels.drained_j_per_k)
        capacity = self.network.capacity_j_per_k[self.lumps].copy()
        capacity[0] -= moved
        capacity[1] += moved
        return capacity

    def term(self, fixed: Fixed, known: Known, kind: int, hold: Hold) -> Term:
        """What stays the same from now on: heat into every node of one kind of hour, and the setpoint as heat.

        A heater in water aims beyond the mean of the step, where the water's new value lies.
        """
        steady = self.sources_w[kind] + known.season_w
        if fixed.latent_w is not None:
            steady[self.lumps] -= fixed.latent_w
        diagonal = fixed.factors.diagonal
        theta: Array | float = self.theta[-1] if self.lumps.stop == len(steady) else 1.0
        reach = diagonal * (1.0 - theta)
        return Term(fixed, steady, reach, diagonal * theta * hold.setpoint_c, hold.min_w, hold.max_w)

    def advance(self, term: Term, state: State, known: Known, hour: int, day: Day, step: int) -> None:
        """One step, booked as row `step` of the day. hour is local."""
        fixed, flux = term.fixed, self.work.flux
        multiply, add = np.multiply, np.add
        target = term.reach_w_per_k * flux[-1]
        target += term.target_w
        multiply(fixed.heat_w_per_k, flux, out=flux)
        add(flux, term.steady_w, out=flux)
        weather = known.weather[hour]
        multiply(self.outdoor_w_per_k, weather[OUTDOOR], out=self.product_outdoor)
        add(self.flux_outdoor, self.product_outdoor, out=self.flux_outdoor)
        if fixed.latent_relief is not None:
            self._evaporated(fixed, fixed.latent_relief, state, weather, hour, day, step)
        substituted(fixed.factors, flux[-1], target, term.min_w, term.max_w, day.watts[step])
        add(day.mean_sum, self.flux_booked, out=day.mean_sum)
        day.fixed.append(fixed)
        if day.mean_c is not None:
            np.copyto(day.mean_c[step], flux)
        if fixed.latent_relief is None:
            return
        water, before = day.water_c[step], state.water_c
        np.subtract(self.flux_lumps, before, out=water)
        multiply(water, self.inverse_theta, out=water)
        add(water, before, out=water)
        if state.icy or np.minimum.reduce(water, axis=None) < 0.0:
            limit = self.network.vessels.ice_limit_j  # type: ignore[union-attr]
            state.ice_j, given = frozen(water, state.ice_j, fixed.lump_j_per_k, limit)
            state.icy = bool(state.ice_j.any())
            add(day.freezing_j, given, out=day.freezing_j)
        day.ice_j.append(state.ice_j)
        np.copyto(self.flux_lumps, water)
        state.water_c = water

    def _evaporated(
        self, fixed: Fixed, relief: Array, state: State, weather: Array, hour: int, day: Day, step: int
    ) -> None:
        """The room's humidity after the step; its latent heat goes into the flux."""
        room, flux = self.network.room_air, self.work.flux
        ratio, gained = day.ratio[step], day.gained_w[step]
        if fixed.vapour is None or room is None or room.radiant_node is None:
            np.copyto(ratio, state.ratio)
        else:
            condensing = day.condensing_w[step]
            fixed.vapour.advance(state.ratio, fixed.vapour.offered_w[hour % RENEW_H], ratio, condensing)
            if fixed.leak_w_per_k is not None:
                flux[room.node] += fixed.leak_w_per_k * weather[OUTDOOR]
            surfaces = flux[room.radiant_node]
            surfaces += condensing
        np.multiply(relief, ratio, out=gained)
        np.add(self.flux_lumps, gained, out=self.flux_lumps)
        state.ratio = ratio


def blank_day(network: Network, steps: int, keep: bool, booked: slice) -> Day:
    """Room for the steps of a day; `keep` for those of every node, `booked` the rows whose sum is wanted."""
    n, nodes = network.designs, len(network.nodes)
    lumps = len(network.vessels.lumps) if network.vessels else 0
    water, gained = np.zeros((steps, lumps, n)), np.zeros((steps, lumps, n))
    watts, condensing, ratio = np.zeros((steps, n)), np.zeros((steps, n)), np.zeros((steps, n))
    means = np.zeros((steps if keep else 0, nodes, n))
    return Day(
        all_mean_c=means,
        all_ratio=ratio,
        all_water_c=water,
        all_watts=watts,
        all_gained_w=gained,
        all_condensing_w=condensing,
        mean_c=list(means) if keep else None,
        mean_sum=np.zeros((len(range(nodes)[booked]), n)),
        water_c=list(water),
        watts=list(watts),
        ratio=list(ratio),
        gained_w=list(gained),
        condensing_w=list(condensing),
        freezing_j=np.zeros(n),
        ice_j=[],
        fixed=[],
        terms=[],
        term_steps=[],
    )


def frozen(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method split from the step (Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545); energy is
    conserved exactly. Returns the ice [J] and what freezing gave, summed over lumps [J].
    """
    given = np.clip(-capacity_j_per_k * water_c, -ice_j, limit_j - ice_j)
    water_c += np.divide(given, capacity_j_per_k, out=np.zeros_like(given), where=capacity_j_per_k > 0)
    return ice_j + given, given.sum(axis=0)


def by_lump(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each lump, in double precision."""
    if len(rows) == len(vessels.lumps):
        return rows.astype(float)
    return np.asarray(np.add.reduceat(rows, vessels.first_rows, axis=0, dtype=float))


def _link_water(net: System, fixed: Fixed, lumps: slice, room: RoomAir, first: int) -> None:
    """Add the water's conductances to air and surfaces, in place; rows count from `first`."""
    assert fixed.to_air_w_per_k is not None
    assert fixed.longwave_w_per_k is not None
    diagonal = net.diagonal
    diagonal[lumps] += fixed.to_air_w_per_k
    diagonal[lumps] += fixed.longwave_w_per_k
    if room.node is None or room.radiant_node is None:
        return
    for node, conductance in (
        (room.node - first, fixed.to_air_w_per_k),
        (room.radiant_node - first, fixed.longwave_w_per_k),
    ):
        diagonal[node] += np.add.reduce(conductance, axis=0)
        if node < lumps.start:
            net.rows[node][lumps.start - node - 1 : lumps.stop - node - 1] += conductance
        else:
            for lump in range(lumps.start, lumps.stop):
                net.rows[lump][node - lump - 1] += conductance[lump - lumps.start]
    if fixed.leak_w_per_k is not None:
        diagonal[room.node - first] += fixed.leak_w_per_k
