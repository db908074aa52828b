"""One implicit step of a batch: the heat and vapour balance of every node.

Coefficients that depend on temperature are renewed every `RENEW_H` hours, the matrix with them; a step then only
substitutes. Water nodes advance by the theta method fitted to the exponential (Liniger & Willoughby 1970), so
that an hour is not too long for them; light nodes by implicit Euler, which never rings.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from thermal.air import CP_AIR, Array, dry_air_density, vapour_pressure
from thermal.elimination import Factors, Hold, Pivot, Upper, eliminated, reaches, substituted
from thermal.exchange import Coefficients, VapourBalance, coefficients, vapour_balance
from thermal.network import Control, Drive, Network, RoomAir, Vessels, single_precision
from thermal.paths.infiltration import leakage_flow
from thermal.paths.surface import replaced_vapour_enthalpy

HOUR_S = 3600.0
RENEW_H = 4  # as good as every hour for the water, thanks to the lead (tests/laws/test_accuracy.py)
LEAD = 0.5  # coefficients are taken at the temperatures expected in the middle of their term
SETTLE_STEPS, SETTLE_DT_S = 12, 10 * 86400.0  # near-steady start under the spin-up's mean weather
OUTDOOR, HUMIDITY, WIND, COSINE, SINE = range(5)  # channels of `Drive`


class State(NamedTuple):
    """Everything a step hands to the next, one column a design-winter; arrays are written to in place."""

    temperature_c: Array  # (node, column)
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
    inverse_theta: Array  # (lump, column)
    coefficients: Coefficients | None = None
    to_air_w_per_k: Array | None = None  # (lump, column): walls and open surface
    longwave_w_per_k: Array | None = None  # (lump, column)
    vapour: VapourBalance | None = None
    enthalpy_j_per_kg: Array | None = None  # (vessel, column)
    latent_w: Array | None = None  # (lump, column): heat of evaporation into bone-dry air, less given air's heat
    latent_relief: Array | None = None  # (lump, column): less of it for each unit of the air's humidity ratio
    leak_w_per_k: Array | None = None


class Day(NamedTuple):
    """What the steps of one day did, step by step; overwritten the next day.

    Shapes (step, node, column), (step, lump, column) or (step, column); flows in W.
    """

    mean_c: Array  # nodes: the temperatures at which heat flowed
    water_c: Array  # lumps: at the end of the step
    watts: Array  # the heater
    ratio: Array  # humidity ratio of the air at the end
    gained_w: Array  # lumps: latent heat, negative, and the heat of given air
    condensing_w: Array
    freezing_j: Array  # (column,): heat that freezing gave, all day
    ice_j: list[Array]  # lumps, by step
    fixed: list[Fixed]  # by step


@dataclass(frozen=True)
class Stepper:
    """A network made ready for steps of one length."""

    network: Network
    dt_s: float
    pressure_pa: float
    outdoor_rows: slice
    season_rows: slice
    vessel_lump: list[int]  # node of each vessel row
    lumps: slice  # water nodes; empty for a bare room
    vessels_single: Vessels | None  # the vessels in single precision, for the coefficients
    source: tuple[int, ...]  # row of `sources_w` for each hour of the day
    sources_w: Array  # the distinct hours' sources, (kind, node, column)
    switching: tuple[bool, ...]  # for each hour of the day: whether any pump changes then
    leaky: bool
    reach: tuple[slice, ...]  # order of elimination
    constant: int  # nodes that are eliminated once: no link of theirs ever changes
    once: tuple[Pivot, ...]
    reduced_diagonal: Array  # what is left after that
    reduced_upper: Upper
    heat_w_per_k: Array  # (node, column), as in `Fixed` while the pump runs
    theta: Array  # (lump, column)
    inverse_theta: Array
    drains: bool  # whether any bed ever drains

    def renewed(self, state: State, weather: Array, hour: int) -> tuple[Fixed, State]:
        """Coefficients and factors for the state now. weather has shape (5, column)."""
        network = self.network
        vessels, room, single = network.vessels, network.room_air, self.vessels_single
        if vessels is None or room is None or single is None:
            nothing = np.zeros((0, network.designs))
            blank = Fixed(None, nothing, nothing, nothing)  # type: ignore[arg-type]
            return self.factored(blank, state, hour), state
        now = state.temperature_c.astype(np.float32)
        t = now + LEAD * (now - state.renewed_c)
        water = t[self.vessel_lump]
        air = room.given_c.astype(np.float32) if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        ratio = state.ratio.astype(np.float32)
        c = coefficients(single, water, air, radiant, ratio, state.wall_excess, self.pressure_pa)
        enthalpy = replaced_vapour_enthalpy(water, single.tap_c)
        relief = c.mass_kg_s * enthalpy
        fixed = Fixed(
            None, t, t, t, c,  # type: ignore[arg-type]
            to_air_w_per_k=_by_lump(c.convection_w_per_k + c.wall_w_per_k, vessels),
            longwave_w_per_k=_by_lump(c.longwave_w_per_k, vessels),
            enthalpy_j_per_kg=enthalpy,
            latent_w=_by_lump(relief * c.water_ratio, vessels),
            latent_relief=_by_lump(relief, vessels),
        )  # fmt: skip
        if room.node is None:
            heat = (fixed.to_air_w_per_k + fixed.longwave_w_per_k) * room.given_c  # type: ignore[operator]
            fixed = fixed._replace(latent_w=fixed.latent_w - heat)  # type: ignore[operator]
        else:
            fixed = self._with_room(fixed, room, air, weather)
        return self.factored(fixed, state, hour), state._replace(wall_excess=c.wall_excess, renewed_c=now)

    def _with_room(self, fixed: Fixed, room: RoomAir, air: Array, weather: Array) -> Fixed:
        """The room's vapour balance and leaks."""
        assert fixed.coefficients is not None
        cold = np.empty((2, len(air)), np.float32)
        cold[0] = air - room.coldness * (air - weather[OUTDOOR])
        cold[1] = air
        change, leak = room.change_kg_s, None
        if self.leaky:
            vapour = vapour_pressure(weather[HUMIDITY], self.pressure_pa)
            density = dry_air_density(weather[OUTDOOR], vapour, self.pressure_pa)
            kg_s = density * leakage_flow(room.leak_cm2, cold[1] - weather[OUTDOOR], weather[WIND])
            change, leak = change + kg_s, kg_s * CP_AIR
        balance = vapour_balance(room, fixed.coefficients, cold, change, self.dt_s, self.pressure_pa)
        return fixed._replace(vapour=balance, leak_w_per_k=leak)

    def factored(self, fixed: Fixed, state: State, hour: int) -> Fixed:
        """The same coefficients with the matrix of the hour's pump flow."""
        network, vessels, room, first = self.network, self.network.vessels, self.network.room_air, self.constant
        diagonal, upper = self.reduced_diagonal.copy(), tuple(row.copy() for row in self.reduced_upper)
        lumps = slice(self.lumps.start - first, self.lumps.stop - first)
        heat, inverse_theta = self.heat_w_per_k, self.inverse_theta
        lump_j_per_k = network.capacity_j_per_k[self.lumps]
        if vessels is not None and room is not None and fixed.coefficients is not None:
            _link_water(diagonal, upper, fixed, lumps, room, first)
            if len(vessels.lumps) > 1:
                if self.drains:
                    lump_j_per_k = self._lump_capacity(vessels, state.running)
                    heat = heat.copy()
                    heat[self.lumps] = lump_j_per_k * inverse_theta / self.dt_s
                flow = vessels.flow_w_per_k[hour]
                diagonal[lumps] += flow
                upper[lumps.start][0] += flow
            diagonal[lumps] += heat[self.lumps]
        pivots = eliminated(diagonal, upper, self.reach, range(first, first + len(diagonal) - 1), first)
        factors = Factors(self.once + pivots, diagonal[-1], 1.0 / diagonal[-1])
        return fixed._replace(
            factors=factors, heat_w_per_k=heat, lump_j_per_k=lump_j_per_k, inverse_theta=inverse_theta
        )

    def switched(self, state: State, hour: int) -> State:
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
        return state._replace(running=runs)

    def _lump_capacity(self, vessels: Vessels, running: Array) -> Array:
        """Heat capacity of bed and tank with the bed drained where the pump rests. [J/K]"""
        moved = np.where(running, 0.0, vessels.drained_j_per_k)
        capacity = self.network.capacity_j_per_k[self.lumps].copy()
        capacity[0] -= moved
        capacity[1] += moved
        return capacity

    def begin(self, day: Day, weather: Array) -> None:
        """Write what is known of a day beforehand into its buffers: sources, outdoor air, the ground's season.

        weather has shape (24, channel, column); the rows of `mean_c` become temperatures as steps are taken.
        """
        network = self.network
        day.fixed.clear()
        day.ice_j.clear()
        day.freezing_j[:] = 0.0
        steps = len(day.mean_c) // 24
        season = network.season_w[0] * weather[0, COSINE] + network.season_w[1] * weather[0, SINE]
        for hour in range(24):
            known = self.sources_w[self.source[hour]] + season
            known[self.outdoor_rows] += network.outdoor_w_per_k[self.outdoor_rows] * weather[hour, OUTDOOR]
            day.mean_c[hour * steps : (hour + 1) * steps] = known

    def advance(self, fixed: Fixed, state: State, weather: Array, hold: Hold, day: Day, step: int) -> State:
        """One step, booked as row `step` of the day. weather has shape (5, column)."""
        room, lumps, old = self.network.room_air, self.lumps, state.temperature_c
        flux, watts = day.mean_c[step], day.watts[step]
        flux += fixed.heat_w_per_k * old
        day.fixed.append(fixed)
        if room is None or fixed.latent_w is None:
            substituted(fixed.factors, flux, hold, watts)
            np.copyto(old, flux)
            return state
        ratio = day.ratio[step]
        if fixed.vapour is None:
            np.copyto(ratio, state.ratio)
        else:
            condensing = day.condensing_w[step]
            fixed.vapour.advance(state.ratio, weather[HUMIDITY], ratio, condensing)
            flux[room.radiant_node] += condensing
            if fixed.leak_w_per_k is not None:
                flux[room.node] += fixed.leak_w_per_k * weather[OUTDOOR]
        gained = day.gained_w[step]
        np.multiply(fixed.latent_relief, ratio, out=gained)
        gained -= fixed.latent_w
        flux[lumps] += gained
        if lumps.stop == len(flux):  # the heater sits in water, whose new value lies beyond the mean
            reach = hold.setpoint_c - old[-1]
            reach *= self.theta[-1]
            reach += old[-1]
            hold = Hold(reach, hold.min_w, hold.max_w)
        substituted(fixed.factors, flux, hold, watts)
        water, before = day.water_c[step], old[lumps]
        np.subtract(flux[lumps], before, out=water)
        water *= fixed.inverse_theta
        water += before
        if state.icy or np.minimum.reduce(water, axis=None) < 0.0:
            state = self._frozen(fixed, state, water, day)
        day.ice_j.append(state.ice_j)
        np.copyto(old, flux)
        old[lumps] = water
        return state._replace(ratio=ratio)

    def _frozen(self, fixed: Fixed, state: State, water: Array, day: Day) -> State:
        """Freeze and melt, in place on the water."""
        limit = self.network.vessels.ice_limit_j  # type: ignore[union-attr]
        ice, given = frozen(water, state.ice_j, fixed.lump_j_per_k, limit)
        np.add(day.freezing_j, given, out=day.freezing_j)
        return state._replace(ice_j=ice, icy=bool(ice.any()))


def blank_day(network: Network, steps: int) -> Day:
    """Room for the steps of a day."""
    n, nodes = network.designs, len(network.nodes)
    lumps = len(network.vessels.lumps) if network.vessels else 0
    return Day(
        mean_c=np.zeros((steps, nodes, n)),
        water_c=np.zeros((steps, lumps, n)),
        watts=np.zeros((steps, n)),
        ratio=np.zeros((steps, n)),
        gained_w=np.zeros((steps, lumps, n)),
        condensing_w=np.zeros((steps, n)),
        freezing_j=np.zeros(n),
        ice_j=[],
        fixed=[],
    )


def fitted_theta(a: Array) -> Array:
    """Weight of the new value that makes one node's step exact, from step over time constant.

    1/(1 - exp(-a)) - 1/a: 1/2 for slow nodes, 1 for fast ones. Source: Liniger & Willoughby 1970, SIAM J.
    Numer. Anal. 7:47, exponential fitting.
    """
    small = a < 1e-3
    safe = np.where(small, 1.0, a)
    return np.where(small, 0.5 + a / 12.0, -1.0 / np.expm1(-safe) - 1.0 / safe)


def frozen(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method split from the step (Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545); energy is
    conserved exactly. Returns the ice [J] and what freezing gave, summed over lumps [J].
    """
    given = np.clip(-capacity_j_per_k * water_c, -ice_j, limit_j - ice_j)
    water_c += given / capacity_j_per_k
    return ice_j + given, given.sum(axis=0)


def _by_lump(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each lump, in double precision."""
    if len(rows) == len(vessels.lumps):
        return rows.astype(float)
    return np.asarray(np.add.reduceat(rows, vessels.first_rows, axis=0, dtype=float))


def _link_water(diagonal: Array, upper: Upper, fixed: Fixed, lumps: slice, room: RoomAir, first: int) -> None:
    """Add the water's conductances to air and surfaces, in place; rows count from `first`."""
    assert fixed.to_air_w_per_k is not None
    assert fixed.longwave_w_per_k is not None
    diagonal[lumps] += fixed.to_air_w_per_k
    diagonal[lumps] += fixed.longwave_w_per_k
    if room.node is None or room.radiant_node is None:
        return
    for node, conductance in ((room.node - first, fixed.to_air_w_per_k), (room.radiant_node - first, fixed.longwave_w_per_k)):
        diagonal[node] += np.add.reduce(conductance, axis=0)
        if node < lumps.start:
            upper[node][lumps.start - node - 1 : lumps.stop - node - 1] += conductance
        else:
            for lump in range(lumps.start, lumps.stop):
                upper[lump][node - lump - 1] += conductance[lump - lumps.start]
    if fixed.leak_w_per_k is not None:
        diagonal[room.node - first] += fixed.leak_w_per_k


def stepper(network: Network, dt_s: float, pressure_pa: float) -> Stepper:
    """A network made ready for steps of dt_s."""
    n = len(network.nodes)
    diagonal = network.outdoor_w_per_k + network.fixed_w_per_k
    upper = tuple(np.zeros((n - 1 - row, network.designs)) for row in range(n))
    pairs = list(network.links)
    for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
        upper[min(i, j)][abs(i - j) - 1] += conductance
        diagonal[i] += conductance
        diagonal[j] += conductance
    kinds: list[int] = []  # first hour of each distinct source
    source = []
    for hour in range(24):
        same = [kind for kind, first in enumerate(kinds) if (network.source_w[hour] == network.source_w[first]).all()]
        if not same:
            kinds.append(hour)
        source.append(same[0] if same else len(kinds) - 1)
    vessels, room = network.vessels, network.room_air
    lump_of, lumps, switching, single = [], slice(0, 0), (False,) * 24, None
    constant = n - 1
    if vessels is not None:
        bounds = (*vessels.first_rows, len(vessels.surface_m2))
        spans = zip(vessels.lumps, bounds, bounds[1:], strict=False)
        lump_of = [lump for lump, first, stop in spans for _ in range(first, stop)]
        lumps = slice(vessels.lumps[0], vessels.lumps[-1] + 1)
        flow = vessels.flow_w_per_k
        single = single_precision(vessels)
        around = [node for node in (room.node, room.radiant_node) if node is not None] if room else []
        constant = min(*vessels.lumps, *around, n - 1)
        pairs += [(lump, node) for lump in vessels.lumps for node in around] + list(pairwise(vessels.lumps))
        switching = tuple(bool((flow[hour] != flow[hour - 1]).any()) for hour in range(24))
    heat = network.capacity_j_per_k / dt_s
    theta = fitted_theta(_lump_conductance(network, diagonal[lumps]) / heat[lumps])
    left, reach = diagonal + heat, reaches(pairs, n)
    left[lumps] = diagonal[lumps]  # the capacity of water changes with the pump and is added each time
    heat[lumps] /= theta
    once = eliminated(left, upper, reach, range(constant))
    return Stepper(
        network=network,
        dt_s=dt_s,
        pressure_pa=pressure_pa,
        outdoor_rows=_rows_used(network.outdoor_w_per_k),
        season_rows=_rows_used(np.abs(network.season_w).sum(axis=0)),
        vessel_lump=lump_of,
        lumps=lumps,
        vessels_single=single,
        source=tuple(source),
        sources_w=network.source_w[kinds],
        switching=switching,
        leaky=room is not None and room.node is not None and bool(room.leak_cm2.any()),
        reach=reach,
        constant=constant,
        once=once,
        reduced_diagonal=left[constant:].copy(),
        reduced_upper=upper[constant:],
        heat_w_per_k=heat,
        theta=theta,
        inverse_theta=1.0 / theta,
        drains=any(switching) and vessels is not None and bool(vessels.drained_j_per_k.any()),
    )


def _lump_conductance(network: Network, linked: Array) -> Array:
    """About what each lump of water gives off for each kelvin [W/K], to choose theta by.

    The open surface is counted at 15 W/m2K, walls behind a film of 8 W/m2K: near the mean of a winter. Theta
    moves slowly with it, and any theta between 1/2 and 1 is stable.
    """
    vessels = network.vessels
    if vessels is None:
        return linked
    each = 15.0 * vessels.surface_m2 / (1.0 + 15.0 * vessels.lid_r) + vessels.wall_m2 / (0.125 + vessels.wall_r)
    own = linked + _by_lump(each, vessels)
    return own + vessels.flow_w_per_k.max(axis=0) if len(vessels.lumps) > 1 else own


def settled(network: Network, drive: Drive, control: Control, winter: Array) -> State:
    """A near-steady state under the mean weather of the first days, to start the spin-up from."""
    mean = drive.channels()[: max(drive.spin_up_h, 24)].mean(axis=0)[:, winter]
    steady = replace(network, source_w=np.repeat(network.source_w.mean(axis=0)[None], 24, axis=0))
    tool = stepper(steady, SETTLE_DT_S, drive.pressure_pa)
    state = unsettled(network, np.full_like(network.capacity_j_per_k, 10.0), mean)
    hold = Hold(control.setpoint_c.mean(axis=0), control.min_w, control.max_w)
    day = blank_day(network, 24)
    tool.begin(day, np.broadcast_to(mean, (24, *mean.shape)))
    for step in range(SETTLE_STEPS):
        fixed, state = tool.renewed(state, mean, 0)
        state = tool.advance(fixed, state, mean, hold, day, step)
    return state._replace(ice_j=np.zeros_like(state.ice_j), icy=False, ratio=state.ratio.copy())


def unsettled(network: Network, start_c: Array, weather: Array) -> State:
    """A state of given temperatures, the room's air as dry as outdoors, the pump as at midnight."""
    vessels, room = network.vessels, network.room_air
    if vessels is None or room is None:
        none = np.zeros((0, network.designs))
        return State(start_c.copy(), np.zeros(network.designs), none, none, False, np.ones(network.designs, dtype=bool), start_c)
    return State(
        temperature_c=start_c.copy(),
        ratio=room.given_ratio.copy() if room.node is None else weather[HUMIDITY].copy(),
        wall_excess=np.full(vessels.wall_r.shape, 0.5, np.float32),
        ice_j=np.zeros_like(vessels.ice_limit_j),
        icy=False,
        running=vessels.flow_w_per_k[0] > 0,
        renewed_c=start_c.astype(np.float32),
    )


def _rows_used(rows: Array) -> slice:
    """The smallest run of rows that holds every non-zero one."""
    used = np.flatnonzero(rows.any(axis=-1))
    return slice(int(used[0]), int(used[-1]) + 1) if used.size else slice(0, 0)
