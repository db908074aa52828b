"""One implicit step of a batch: the heat and vapour balance of every node.

Coefficients that depend on temperature are renewed every `RENEW_H` hours, the matrix with them; a step then only
substitutes. Water nodes advance by the theta method fitted to the exponential (Liniger & Willoughby 1970), so
that an hour is not too long for them; light nodes by implicit Euler, which never rings. Temperatures are
kelvins above those of the day's beginning (`thermal.state`), so that single precision will do.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thermal.air import CP_AIR, Array, Precision, dry_air_density
from thermal.elimination import Factors, Scratch, System, eliminate, substituted
from thermal.exchange import Coefficients, VapourBalance, coefficients, total, vapour_balance
from thermal.network import Network, RoomAir, Vessels
from thermal.paths.infiltration import leakage_flow
from thermal.paths.surface import replaced_vapour_enthalpy
from thermal.state import Base, Day, Fixed, Hold, Known, State, Term

HOUR_S = 3600.0
RENEW_H = 4  # as good as every hour for the water, thanks to the lead (tests/laws/test_accuracy.py)
NIGHT = frozenset((*range(20, 24), *range(8)))  # hours a night cover is on; RENEW_H divides both ends
HOTTEST_C = 45.0  # coefficients go no further: only a heater stuck on gets there, and vapour would run away
NEAR_FREEZING_K = 1e-5  # above 0 degC: where freezing is looked into; beyond single precision's rounding
LEAD = 0.5  # coefficients are taken at the temperatures expected in the middle of their term
OUTDOOR, HUMIDITY, WIND, COSINE, SINE = range(5)  # channels of `Drive`


@dataclass(frozen=True)
class Stepper:
    """A network made ready for steps of one length; in the precision of the march but for `network`."""

    network: Network
    dt_s: float
    precision: Precision
    pressure_pa: float
    vessel_lump: slice | list[int]  # node of each vessel row
    lumps: slice  # water nodes; empty for a bare room
    covered: tuple[Vessels, Vessels] | None  # by day and by night, for the coefficients
    room_air: RoomAir | None
    source: tuple[int, ...]  # row of `sources_w` for each hour of the day
    beyond_w_per_k: Array  # (node, column), double: to outdoors and all that is constant
    link_w_per_k: Array  # (link, column)
    sources_w: Array  # the distinct hours' sources, (kind, node, column), double
    season_w: Array  # (2, node, column)
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

    def known(self, state: State, weather: Array) -> Known:
        """A day's weather, shape (24, channel, column), and what follows from it and the day's base."""
        season = self.season_w[0] * weather[0, COSINE] + self.season_w[1] * weather[0, SINE]
        lost = self.beyond_w_per_k * state.base.temperature_c
        steady = [(sources - lost).astype(self.precision) + season for sources in self.sources_w]
        outdoor = [row.reshape(()) if row.size == 1 else row for row in weather[:, OUTDOOR]]
        return Known(list(weather), outdoor, weather[:, HUMIDITY], steady)

    def adopt(self, state: State) -> None:
        """Step this state from now on, in the place where the steps are solved."""
        self.rebase(state)
        state.above_k = self.work.flux
        state.above_k[:] = 0.0

    def rebase(self, state: State) -> None:
        """Count temperatures from where they are now."""
        room, exact = self.room_air, state.temperature_c
        t = exact.astype(self.precision)
        still = np.zeros_like(t)
        for (i, j), conductance in zip(self.network.links, self.link_w_per_k, strict=True):
            heat = conductance * (t[i] - t[j])
            still[i] -= heat
            still[j] += heat
        water = t[self.lumps]
        over_air, over_radiant = water, water
        if room is not None:
            given_c = self.network.room_air.given_c  # type: ignore[union-attr]
            over_air, over_radiant = (
                (exact[self.lumps] - (given_c if node is None else exact[node])).astype(self.precision)
                for node in (room.node, room.radiant_node)
            )
        freezing = NEAR_FREEZING_K - float(water.min()) if water.size else -np.inf
        state.base = Base(exact, t, still, over_air, over_radiant, freezing)
        state.above_k[:] = 0.0
        state.water_k = state.above_k[self.lumps].copy()

    def renewed(self, state: State, known: Known, hour: int) -> Fixed:
        """Coefficients and factors for the state now."""
        room, lump_j = self.room_air, self.network.capacity_j_per_k[self.lumps]
        if room is None or self.covered is None:
            return self.factored(Fixed(self.factors, self.heat_w_per_k, lump_j, state.base.still_w), state, hour)
        vessels = self.covered[hour in NIGHT]
        now = state.base.near_c + state.above_k
        t = now - state.renewed_c
        t *= LEAD
        t += now
        water = np.minimum(t[self.vessel_lump], HOTTEST_C)
        air = room.given_c if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        c = coefficients(vessels, water, air, radiant, state.ratio, state.wall_excess, self.pressure_pa)
        enthalpy = replaced_vapour_enthalpy(water, vessels.tap_c)
        relief = c.mass_kg_s * enthalpy
        to_air = by_lump(c.convection_w_per_k + c.wall_w_per_k, vessels)
        longwave = by_lump(c.longwave_w_per_k, vessels)
        latent = by_lump(relief * c.water_ratio, vessels)
        vapour, leak = None, None
        if room.node is not None:
            beyond = known.weather[hour][OUTDOOR] if room.beyond_node is None else t[room.beyond_node]
            vapour, leak = self._room_air(c, room, air, beyond, known, hour)
        state.wall_excess, state.renewed_c = c.wall_excess, now
        fixed = Fixed(
            self.factors,
            self.heat_w_per_k,
            lump_j,
            state.base.still_w,
            c,
            to_air,
            longwave,
            vapour,
            enthalpy,
            latent,
            by_lump(relief, vessels),
            leak,
        )
        return self.factored(fixed, state, hour)

    def _room_air(
        self, c: Coefficients, room: RoomAir, air: Array, beyond: Array, known: Known, hour: int
    ) -> tuple[VapourBalance, Array | None]:
        """The room's vapour balance, and what its cracks add to air change [W/K]."""
        cold = np.empty((2, len(air)), self.precision)
        cold[0] = air - room.coldness * (air - beyond)
        cold[1] = air
        change, leak = room.change_kg_s, None
        if self.leaky:
            weather = known.weather[hour]
            density = dry_air_density(weather[OUTDOOR], weather[HUMIDITY], self.pressure_pa)
            kg_s = density * leakage_flow(room.leak_cm2, cold[1] - weather[OUTDOOR], weather[WIND])
            change, leak = change + kg_s, kg_s * CP_AIR
        brought = known.humidity[hour : hour + RENEW_H]
        return vapour_balance(room, c, cold, change, brought, self.dt_s, self.pressure_pa), leak

    def factored(self, fixed: Fixed, state: State, hour: int) -> Fixed:
        """The same coefficients with the matrix of the hour's pump flow; the stepper's factors are overwritten."""
        room, first, net = self.room_air, self.constant, self.changing
        np.copyto(net.block, self.reduced.block)
        lumps = slice(self.lumps.start - first, self.lumps.stop - first)
        heat, lump_j_per_k, drift = self.heat_w_per_k, fixed.lump_j_per_k, state.base.still_w
        if self.covered is not None and room is not None:
            vessels, drift = self.covered[0], drift.copy()
            _link_water(net, fixed, lumps, room, first)
            _drift_water(drift, fixed, state.base, self.lumps, room)
            if len(vessels.lumps) > 1:
                if self.drains:
                    lump_j_per_k = self._lump_capacity(state.running)
                    heat = heat.copy()
                    heat[self.lumps] = lump_j_per_k * self.inverse_theta / self.dt_s
                flow = vessels.flow_w_per_k[hour]
                net.diagonal[lumps] += flow
                net.rows[lumps.start][0] += flow
                bed_c, tank_c = state.base.near_c[self.lumps]
                heat_w = flow * (bed_c - tank_c)
                drift[vessels.lumps[0]] -= heat_w
                drift[vessels.lumps[1]] += heat_w
            net.diagonal[lumps] += heat[self.lumps]
        eliminate(self.factors)
        return fixed._replace(heat_w_per_k=heat, lump_j_per_k=lump_j_per_k, drift_w=drift)

    def switched(self, state: State, hour: int) -> None:
        """The pumps as they are from this hour on: draining beds give their water to the tank, or take it back."""
        vessels = self.network.vessels
        assert vessels is not None
        bed, tank = vessels.lumps
        runs = vessels.flow_w_per_k[hour] > 0
        before, after = self._lump_capacity(state.running), self._lump_capacity(runs)
        t = state.temperature_c
        moved = before[0] - after[0]
        t[tank] = np.where(moved > 0, (before[1] * t[tank] + moved * t[bed]) / after[1], t[tank])
        t[bed] = np.where(moved < 0, (before[0] * t[bed] - moved * t[tank]) / after[0], t[bed])
        state.running = runs
        state.above_k[self.lumps] = t[self.lumps] - state.base.temperature_c[self.lumps]
        state.water_k = state.above_k[self.lumps].copy()

    def _lump_capacity(self, running: Array) -> Array:
        """Heat capacity of bed and tank with the bed drained where the pump rests. [J/K]"""
        vessels = self.network.vessels
        assert vessels is not None
        moved = np.where(running, 0.0, vessels.drained_j_per_k)
        capacity = self.network.capacity_j_per_k[self.lumps].copy()
        capacity[0] -= moved
        capacity[1] += moved
        return capacity

    def term(self, fixed: Fixed, state: State, known: Known, kind: int, hold: Hold) -> Term:
        """What stays the same from now on: heat into every node of one kind of hour, and the setpoint as heat.

        A heater in water aims beyond the mean of the step, where the water's new value lies.
        """
        steady = known.steady_w[kind] + fixed.drift_w
        if fixed.latent_w is not None:
            steady[self.lumps] -= fixed.latent_w
        diagonal = fixed.factors.diagonal
        theta: Array | float = self.theta[-1] if self.lumps.stop == len(steady) else 1.0
        reach = diagonal * (1.0 - theta)
        above_k = (hold.setpoint_c - state.base.temperature_c[-1]).astype(self.precision)
        return Term(fixed, steady, reach, diagonal * theta * above_k, hold.min_w, hold.max_w)

    def advance(self, term: Term, state: State, known: Known, hour: int, day: Day, step: int) -> None:
        """One step, booked as row `step` of the day. hour is local."""
        fixed, flux = term.fixed, self.work.flux
        multiply, add = np.multiply, np.add
        target = term.reach_w_per_k * flux[-1]
        target += term.target_w
        multiply(fixed.heat_w_per_k, flux, out=flux)
        add(flux, term.steady_w, out=flux)
        weather = known.weather[hour]
        multiply(self.outdoor_w_per_k, known.outdoor_c[hour], out=self.product_outdoor)
        add(self.flux_outdoor, self.product_outdoor, out=self.flux_outdoor)
        if fixed.latent_relief is not None:
            self._evaporated(fixed, fixed.latent_relief, state, weather, hour, day, step)
        substituted(fixed.factors, flux[-1], target, term.min_w, term.max_w, day.watts[step])
        add(day.mean_sum, self.flux_booked, out=day.mean_sum)
        day.fixed.append(fixed)
        if day.mean_k is not None:
            np.copyto(day.mean_k[step], flux)
        if fixed.latent_relief is None:
            return
        water, before = day.water_k[step], state.water_k
        np.subtract(self.flux_lumps, before, out=water)
        multiply(water, self.inverse_theta, out=water)
        add(water, before, out=water)
        if state.icy or np.minimum.reduce(water, axis=None) < state.base.to_freezing_k:
            self._freeze(water, fixed, state, day)
        day.ice_j.append(state.ice_j)
        np.copyto(self.flux_lumps, water)
        state.water_k = water

    def _freeze(self, water_k: Array, fixed: Fixed, state: State, day: Day) -> None:
        """Hold freezing water at 0 degC, in place."""
        base_c, vessels = state.base.temperature_c[self.lumps], self.network.vessels
        assert vessels is not None
        water_c = base_c + water_k
        state.ice_j, given = frozen(water_c, state.ice_j, fixed.lump_j_per_k, vessels.ice_limit_j)
        state.icy = bool(state.ice_j.any())
        np.add(day.freezing_j, given, out=day.freezing_j)
        np.subtract(water_c, base_c, out=water_k, casting="same_kind")

    def _evaporated(
        self, fixed: Fixed, relief: Array, state: State, weather: Array, hour: int, day: Day, step: int
    ) -> None:
        """The room's humidity after the step; its latent heat goes into the flux."""
        room, flux = self.network.room_air, self.work.flux
        ratio, gained = day.ratio[step], day.gained_w
        if fixed.vapour is None or room is None or room.radiant_node is None:
            np.copyto(ratio, state.ratio)
        else:
            condensing = day.condensing_w[step]
            fixed.vapour.advance(state.ratio, fixed.vapour.offered_kg_s[hour % RENEW_H], ratio, condensing)
            if fixed.leak_w_per_k is not None:
                flux[room.node] += fixed.leak_w_per_k * weather[OUTDOOR]
            surfaces = flux[room.radiant_node]
            surfaces += condensing
        np.multiply(relief, ratio, out=gained)
        np.add(self.flux_lumps, gained, out=self.flux_lumps)
        state.ratio = ratio


def frozen(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method split from the step (Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545); energy is
    conserved exactly. Returns the ice [J] and what freezing gave, summed over lumps [J].
    """
    given = np.clip(-capacity_j_per_k * water_c, -ice_j, limit_j - ice_j)
    water_c += np.divide(given, capacity_j_per_k, out=np.zeros_like(given), where=capacity_j_per_k > 0)
    return ice_j + given, given.sum(axis=0)


def by_lump(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each lump; the rows themselves where every lump has one vessel."""
    if len(rows) == len(vessels.lumps):
        return rows
    bounds = (*vessels.first_rows, len(rows))
    return np.stack([total(rows[first:stop]) for first, stop in pairwise(bounds)])


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
        diagonal[node] += total(conductance)
        if node < lumps.start:
            net.rows[node][lumps.start - node - 1 : lumps.stop - node - 1] += conductance
        else:
            for lump in range(lumps.start, lumps.stop):
                net.rows[lump][node - lump - 1] += conductance[lump - lumps.start]
    if fixed.leak_w_per_k is not None:
        diagonal[room.node - first] += fixed.leak_w_per_k


def _drift_water(drift_w: Array, fixed: Fixed, base: Base, lumps: slice, room: RoomAir) -> None:
    """Add what the water's conductances pass at the base temperatures, in place."""
    assert fixed.to_air_w_per_k is not None
    assert fixed.longwave_w_per_k is not None
    for node, conductance, over_k in (
        (room.node, fixed.to_air_w_per_k, base.over_air_k),
        (room.radiant_node, fixed.longwave_w_per_k, base.over_radiant_k),
    ):
        heat_w = conductance * over_k
        drift_w[lumps] -= heat_w
        if node is not None:
            drift_w[node] += total(heat_w)
    if fixed.leak_w_per_k is not None:
        drift_w[room.node] -= fixed.leak_w_per_k * base.near_c[room.node]
