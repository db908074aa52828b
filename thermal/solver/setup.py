"""Making a batch ready to march: what is eliminated once, and the state to start from."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from thermal.core.aligned import blank, placed
from thermal.core.arrays import Array, Precision
from thermal.network.model import Control, Drive, Network, Vessels, by_night, in_precision
from thermal.solver.linear_solve import System, between, eliminate, factors_of, part, rows_at, scratch, spans, system
from thermal.solver.state import Base, Forcing, Inflow, Sheet, State, Ties, blank_day
from thermal.solver.time_step import COSINE, HOUR_S, HUMIDITY, LONGEST_H, Stepper, by_lump, periods

SETTLE_STEPS, SETTLE_DT_S = 12, 10 * 86400.0  # near-steady start under the spin-up's mean weather


def fitted_theta(a: Array) -> Array:
    """Weight of the new value that makes one node's step exact, from step over time constant.

    1/(1 - exp(-a)) - 1/a: 1/2 for slow nodes, 1 for fast ones. Source: Liniger & Willoughby 1970, SIAM J.
    Numer. Anal. 7:47, exponential fitting.
    """
    small = a < 1e-3
    safe = np.where(small, 1.0, a)
    return np.where(small, 0.5 + a / 12.0, -1.0 / np.expm1(-safe) - 1.0 / safe)


def stepper(network: Network, dt_s: float, pressure_pa: float, precision: Precision) -> Stepper:
    """A network made ready for steps of dt_s."""
    vessels, room, n = network.vessels, network.room_air, len(network.nodes)
    forcing, lumps = _forcing(network, precision), _lump_rows(vessels)
    net = _constant_links(network)
    pairs, constant = _changing(network)
    span, work = spans([*network.links, *pairs], n), scratch(n, network.designs, precision)
    theta = fitted_theta(_lump_conductance(network, net.diagonal[lumps]) * dt_s / network.capacity_j_per_k[lumps])
    inverse_theta = placed(1.0 / theta, precision)
    weight = theta[-1] if lumps.stop == n else np.ones(network.designs)
    whole, heat = _with_capacity(network, net, lumps, inverse_theta, dt_s)
    once = factors_of(whole, span, 0, work, until=constant)
    eliminate(once)
    changing = part(whole, constant, precision)
    outdoor, inflow = _inflow(network, lumps, dt_s, precision)
    return Stepper(
        network=network,
        dt_s=dt_s,
        precision=precision,
        pressure_pa=np.array(pressure_pa, precision),
        held_kg_s=placed(room.mass_kg / dt_s if room else np.zeros(0), precision),
        vessel_lump=_vessel_lumps(vessels),
        lumps=lumps,
        covered=_day_and_night(vessels, precision),
        room_air=in_precision(room, precision) if room else None,
        forcing=forcing,
        link_w_per_k=placed(network.link_w_per_k, precision),
        pump_w_per_k=placed(vessels.flow_w_per_k, precision) if vessels else np.zeros((24, 0), precision),
        switching=_switching(vessels),
        leaky=room is not None and room.node is not None and bool(room.leak_cm2.any()),
        work=work,
        outdoor_w_per_k=placed(network.outdoor_w_per_k[outdoor], precision),
        inflow=inflow,
        flux_fed=work.flux[inflow.rows],
        flux_last=work.flux[-1],
        flux_lumps=work.flux[lumps],
        flux_booked=work.flux[forcing.booked],
        constant=constant,
        reduced=part(whole, constant, precision),
        changing=changing,
        ties=_ties(network, changing, constant),
        factors=factors_of(changing, span, constant, work, before=once),
        heat_w_per_k=heat,
        inverse_theta=inverse_theta,
        new_weight=placed(weight, precision),
        old_weight=placed(1.0 - weight, precision),
        drains=_drains(vessels),
        sheet=Sheet(blank(heat.shape, precision), *blank((3, network.designs), precision)),
    )


def _forcing(network: Network, precision: Precision) -> Forcing:
    """What drives the network beside the water's own exchange."""
    beyond = network.outdoor_w_per_k + network.fixed_w_per_k
    hours, kind = _distinct_hours(network.source_w)
    first_w = network.source_w[hours[0]]
    booked, seasonal = _run(beyond), _run(np.abs(network.season_w).sum(axis=0))
    return Forcing(
        kind=kind,
        source_w=first_w,
        more_w=[(network.source_w[hour] - first_w).astype(precision) for hour in hours[1:]],
        season_w=network.season_w[:, seasonal].astype(precision),
        seasonal=seasonal,
        beyond_w_per_k=beyond[booked],
        booked=booked,
    )


def _with_capacity(
    network: Network, net: System, lumps: slice, inverse_theta: Array, dt_s: float
) -> tuple[System, Array]:
    """The network with heat capacity over the step but for the water's, which the pump may change; and all of it."""
    precision = inverse_theta.dtype.type
    whole = part(net, 0, precision)
    heat = placed(network.capacity_j_per_k / dt_s, precision)
    heat[lumps] = 0.0
    whole.diagonal[:] += heat
    heat[lumps] = network.capacity_j_per_k[lumps] * inverse_theta / dt_s
    return whole, heat


def _day_and_night(vessels: Vessels | None, precision: Precision) -> tuple[Vessels, Vessels] | None:
    """The vessels as the coefficients take them, by day and by night."""
    if vessels is None:
        return None
    day, night = in_precision(vessels, precision), by_night(vessels)
    return day, day if night is vessels else in_precision(night, precision)


def _constant_links(network: Network) -> System:
    """The network's constant conductances, heat capacity left out."""
    net = system(len(network.nodes), network.designs)
    diagonal = net.diagonal
    diagonal[:] = network.outdoor_w_per_k + network.fixed_w_per_k
    for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
        net.rows[min(i, j)][abs(i - j) - 1] += conductance
        diagonal[i] += conductance
        diagonal[j] += conductance
    return net


def _changing(network: Network) -> tuple[list[tuple[int, int]], int]:
    """Links that change from hour to hour, and how many leading nodes have none."""
    vessels, room = network.vessels, network.room_air
    if vessels is None or room is None:
        return [], len(network.nodes) - 1
    around = [node for node in (room.node, room.radiant_node) if node is not None]
    pairs = [(lump, node) for lump in vessels.lumps for node in around] + list(pairwise(vessels.lumps))
    return pairs, min(*vessels.lumps, *around, len(network.nodes) - 1)


def _ties(network: Network, net: System, first: int) -> Ties:
    """Where the water's conductances stand in the changing network, whose rows count from `first`."""
    vessels, room = network.vessels, network.room_air
    if vessels is None:
        return Ties(net.diagonal[:0], np.zeros(0), ())
    lumps = tuple(lump - first for lump in vessels.lumps)
    pump = between(net, lumps[0], lumps[1:])[0] if len(lumps) > 1 else np.zeros(0)
    own = net.diagonal[rows_at(lumps)]
    if room is None or room.node is None or room.radiant_node is None:
        return Ties(own, pump, ())
    around = room.node - first, room.radiant_node - first
    return Ties(own, pump, tuple((net.diagonal[node], between(net, node, lumps)) for node in around))


def _inflow(network: Network, lumps: slice, dt_s: float, precision: Precision) -> tuple[slice, Inflow]:
    """The rows linked to outdoors, the room's air among them, and room for what flows in during a period."""
    room, outdoor = network.room_air, np.asarray(network.outdoor_w_per_k.any(axis=-1))
    inside = [node for node in (room.node, room.radiant_node) if node is not None] if room else []
    outdoor[inside] = True
    fed = outdoor.copy()
    fed[lumps] = True
    linked, rows = _run(outdoor), _run(fed)
    steps, first = max(1, round(LONGEST_H * HOUR_S / dt_s)), rows.start
    heat = blank((steps, rows.stop - first, network.designs), precision)
    air, surfaces = (heat[:, node - first] for node in inside) if inside else (heat[:, 0:0],) * 2
    return linked, Inflow(
        rows=rows,
        each=list(heat),
        outdoors=heat[:, max(linked.start - first, 0) : max(linked.stop - first, 0)],
        lumps=heat[:, max(lumps.start - first, 0) : max(lumps.stop - first, 0) : lumps.step],
        air=air,
        surfaces=surfaces,
    )


def _distinct_hours(source_w: Array) -> tuple[list[int], tuple[int, ...]]:
    """First hour of each distinct source, and which of them each hour of the day has."""
    kinds: list[int] = []
    source = []
    for hour in range(24):
        same = [kind for kind, first in enumerate(kinds) if (source_w[hour] == source_w[first]).all()]
        if not same:
            kinds.append(hour)
        source.append(same[0] if same else len(kinds) - 1)
    return kinds, tuple(source)


def _switching(vessels: Vessels | None) -> tuple[bool, ...]:
    """For each hour of the day: whether any design's pump changes then."""
    if vessels is None or len(vessels.lumps) < 2:
        return (False,) * 24
    flow = vessels.flow_w_per_k
    return tuple(bool((flow[hour] != flow[hour - 1]).any()) for hour in range(24))


def _drains(vessels: Vessels | None) -> bool:
    """Whether some bed drains at some hour."""
    if vessels is None or len(vessels.lumps) < 2:
        return False
    return bool(((vessels.flow_w_per_k <= 0) & (vessels.drained_j_per_k > 0)).any())


def _vessel_lumps(vessels: Vessels | None) -> slice | list[int]:
    """Node of each vessel row; a slice, which is quicker, where every lump has one vessel."""
    if vessels is None or len(vessels.surface_m2) == len(vessels.lumps):
        return _lump_rows(vessels)
    bounds = (*vessels.first_rows, len(vessels.surface_m2))
    spans = zip(vessels.lumps, bounds, bounds[1:], strict=False)
    return [lump for lump, first, stop in spans for _ in range(first, stop)]


def _lump_rows(vessels: Vessels | None) -> slice:
    """The water nodes, one or two."""
    return rows_at(vessels.lumps) if vessels else slice(0, 0)


def _lump_conductance(network: Network, linked: Array) -> Array:
    """About what each lump of water gives off for each kelvin [W/K], to choose theta by.

    The open surface is counted at 15 W/m2K, walls behind a film of 8 W/m2K: near the mean of a winter. Theta
    moves slowly with it, and any theta between 1/2 and 1 is stable.
    """
    vessels = network.vessels
    if vessels is None:
        return linked
    each = 15.0 * vessels.surface_m2 / (1.0 + 15.0 * vessels.lid_r) + vessels.wall_m2 / (0.125 + vessels.wall_r)
    own = linked + by_lump(each, vessels)
    return own + vessels.flow_w_per_k.max(axis=0) if len(vessels.lumps) > 1 else own


def settled(network: Network, drive: Drive, control: Control, winter: Array, precision: Precision) -> State:
    """A near-steady state under the mean weather of the first days, to start the spin-up from."""
    mean = drive.channels()[: max(drive.spin_up_h, 24)].mean(axis=0)[:, winter].astype(precision)
    steady = replace(network, source_w=np.repeat(network.source_w.mean(axis=0)[None], 24, axis=0))
    tool = stepper(steady, SETTLE_DT_S, drive.pressure_pa, precision)
    state = unsettled(network, np.full_like(network.capacity_j_per_k, 10.0), mean, precision)
    setpoint_c = control.setpoint_c.mean(axis=0)
    tool.adopt(state)
    day = blank_day(network, SETTLE_STEPS, 1, False, tool.forcing.booked, precision)
    equal = periods((0,))[0]  # one as long as the last
    for step in range(SETTLE_STEPS):
        known = tool.known(state, np.broadcast_to(mean, (24, *mean.shape)), mean[COSINE:])
        fixed = tool.renewed(state, known, equal)
        tool.foresee(fixed.water, state, known, equal, day, step)
        hold = tool.hold(state, setpoint_c, control.min_w, control.max_w)
        tool.advance(tool.term(fixed, state, known, 0, hold), state, day, range(step, step + 1))
        tool.rebase(state)
    state.ice_j, state.icy, state.ratio = np.zeros_like(state.ice_j), False, state.ratio.copy()
    return state


def unsettled(network: Network, start_c: Array, weather: Array, precision: Precision) -> State:
    """A state of given temperatures, the room's air as dry as outdoors, the pump as at midnight."""
    vessels, room, n = network.vessels, network.room_air, network.designs
    ratio = weather[HUMIDITY] if room is None or room.node is not None else room.given_ratio
    none = np.zeros((0, n), precision)
    return State(
        base=Base(start_c, none, none, none, none, none, -np.inf),
        above_k=np.zeros(start_c.shape, precision),
        water_k=none,
        ratio=np.broadcast_to(ratio, (n,)).astype(precision),
        wall_excess=np.full(vessels.wall_r.shape, 0.5, precision) if vessels else none,
        ice_j=np.zeros_like(vessels.ice_limit_j) if vessels else none,
        icy=False,
        running=vessels.flow_w_per_k[0] > 0 if vessels else np.ones(n, dtype=bool),
        renewed_c=start_c.astype(precision),
    )


def _run(rows: Array) -> slice:
    """The smallest run of rows, or of flags, that holds every one that is not zero."""
    rows = np.flatnonzero(rows.reshape(len(rows), -1).any(axis=-1))
    return slice(int(rows[0]), int(rows[-1]) + 1) if rows.size else slice(0, 0)
