"""Picture of room, tank and beds with an arrow for each group of heat paths, as wide as its watts at peak heat demand.

Arrows out of tank and beds show what the water loses to the room, arrows through the edge of the room what the room
loses. An arrow that points inwards is a gain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from thermal.analysis.assessment import Assessment
from thermal.analysis.heat_groups import (
    AIR,
    BOTTOM,
    CHANGE,
    GAINS,
    HOUSE,
    SIDES,
    STORED,
    TOP,
    group_sums,
    past_the_room,
    zone_of,
)
from thermal.core.display_units import UNIT_SYSTEMS, watts_text
from thermal.report.drawings.canvas import NARROW, WIDE, Canvas, figure, number
from thermal.report.table_data import heat_text

HEIGHT = {WIDE: 426.0, NARROW: 524.0}
WIDEST = {WIDE: 52.0, NARROW: 44.0}  # of the arrow with most watts
SMALLEST_W = 0.5  # an arrow with less is left out
HEATER = "heater"


@dataclass(frozen=True)
class Flow:
    """Heat through one edge at the hour of peak heat demand.

    Attributes
    ----------
    place : str
        "tank", "bed" or "room".
    group : str
        Group of heat paths, or `HEATER`.
    watts : float
        Heat that leaves [W]; negative where it comes in.
    """

    place: str
    group: str
    watts: float


@dataclass(frozen=True)
class Spot:
    """Where an arrow begins, which way it goes outwards, how far, and on which side of it its label stands."""

    x: float
    y: float
    outwards: tuple[float, float]
    length: float
    label: str


LEFT, RIGHT, UP, DOWN = (-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)
SPOTS = {
    WIDE: {
        ("room", SIDES): Spot(204, 176, LEFT, 62, "end"),
        ("room", TOP): Spot(290, 84, UP, 54, "right"),
        ("room", AIR): Spot(656, 130, RIGHT, 62, "end"),
        ("room", BOTTOM): Spot(520, 350, DOWN, 58, "right"),
        ("room", HOUSE): Spot(656, 290, RIGHT, 62, "end"),
        ("room", GAINS): Spot(420, 122, UP, 44, "right"),
        ("room", CHANGE): Spot(410, 350, DOWN, 58, "right"),
        ("room", HEATER): Spot(226, 236, LEFT, 88, "end"),
        ("tank", HEATER): Spot(266, 306, LEFT, 128, "end"),
        ("tank", TOP): Spot(270, 266, UP, 48, "end"),
        ("tank", AIR): Spot(332, 266, UP, 48, "end"),
        ("tank", SIDES): Spot(350, 306, RIGHT, 44, "end"),
        ("tank", BOTTOM): Spot(312, 342, DOWN, 46, "right"),
        ("tank", CHANGE): Spot(258, 342, DOWN, 66, "left"),
        ("bed", TOP): Spot(496, 236, UP, 48, "end"),
        ("bed", AIR): Spot(556, 236, UP, 48, "end"),
        ("bed", SIDES): Spot(565, 246, RIGHT, 40, "end"),
        ("bed", BOTTOM): Spot(530, 258, DOWN, 42, "right"),
    },
    NARROW: {
        ("room", SIDES): Spot(82, 150, LEFT, 54, "below"),
        ("room", TOP): Spot(206, 82, UP, 52, "right"),
        ("room", AIR): Spot(258, 140, RIGHT, 54, "below"),
        ("room", BOTTOM): Spot(236, 440, DOWN, 54, "right"),
        ("room", HOUSE): Spot(258, 290, RIGHT, 54, "below"),
        ("room", GAINS): Spot(92, 116, UP, 34, "right"),
        ("room", CHANGE): Spot(206, 440, DOWN, 54, "left"),
        ("room", HEATER): Spot(122, 282, LEFT, 116, "above"),
        ("tank", HEATER): Spot(122, 396, LEFT, 116, "above"),
        ("tank", TOP): Spot(114, 350, UP, 44, "end"),
        ("tank", AIR): Spot(166, 350, UP, 44, "end"),
        ("tank", SIDES): Spot(176, 396, RIGHT, 38, "end"),
        ("tank", BOTTOM): Spot(164, 434, DOWN, 44, "left"),
        ("tank", CHANGE): Spot(92, 434, DOWN, 60, "left"),
        ("bed", TOP): Spot(114, 192, UP, 42, "end"),
        ("bed", AIR): Spot(166, 192, UP, 42, "end"),
        ("bed", SIDES): Spot(176, 200, RIGHT, 36, "end"),
        ("bed", BOTTOM): Spot(152, 212, DOWN, 40, "right"),
    },
}
BOXES = {  # left, top, right, bottom
    WIDE: {"room": (190, 70, 670, 356), "tank": (240, 256, 360, 356), "bed": (470, 226, 575, 266)},
    NARROW: {"room": (68, 70, 272, 446), "tank": (96, 340, 186, 446), "bed": (96, 182, 186, 218)},
}


def room_figure(assessment: Assessment) -> Markup:
    """Picture of room, tank and beds with the heat of the hour of peak heat demand."""
    return figure("room", [_drawing(assessment, size) for size in (WIDE, NARROW)])


def heat_flows(assessment: Assessment) -> list[Flow]:
    """Heat through every edge, without what is stored, and without what is too small to see."""
    season, plan = assessment.season, assessment.case.plan
    flows = []
    in_water = dict.fromkeys((GAINS, CHANGE), 0.0)
    if zone_of(plan) == "water":
        flows.append(Flow("tank", HEATER, -season.design_w))
        for place, paths in _by_vessel(season.design_paths_w).items():
            sums = group_sums(paths, plan, "water")
            flows += [Flow(place, group, watts) for group, watts in sums.items()]
            in_water = {group: watts + sums.get(group, 0.0) for group, watts in in_water.items()}
    else:
        flows.append(Flow("room", HEATER, -season.design_w))
    through_water = zone_of(plan) == "water"
    out = {path: w for path, w in season.design_room_paths_w.items() if not (through_water and past_the_room(path))}
    for group, watts in group_sums(out, plan, "room").items():
        flows.append(Flow("room", group, watts - in_water.get(group, 0.0)))
    return [flow for flow in flows if flow.group != STORED and abs(flow.watts) >= SMALLEST_W]


def room_alt(assessment: Assessment) -> str:
    """The picture in words, with its figures."""
    season, flows, units = assessment.season, heat_flows(assessment), UNIT_SYSTEMS[assessment.case.plan.units]
    places = {"tank": "Out of the tank", "bed": "Out of the beds", "room": "Out of the room"}
    sentences = []
    for place, words in places.items():
        parts = [
            f"{flow.group} {heat_text(flow.watts)} W" for flow in flows if flow.place == place and flow.group != HEATER
        ]
        sentences += [f"{words}: {', '.join(parts)}."] if parts else []
    return (
        f"At the hour of peak heat demand, {units.moment(season.design_at)}, the heater gives"
        f" {watts_text(season.design_w)}. {' '.join(sentences)} Gains are negative."
    )


def arrow_width(watts: float, widest_w: float, size: str) -> float:
    """Width of an arrow's shaft, in proportion to its watts.

    Parameters
    ----------
    watts, widest_w : float
        Heat of the arrow, and of the widest one [W].
    size : str
        `WIDE` or `NARROW`.
    """
    return WIDEST[size] * abs(watts) / widest_w


def _by_vessel(paths: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """Paths out of the water by vessel: the tank, with pipes and everything that is not the beds', and the beds."""
    vessels: dict[str, dict[str, float]] = {"tank": {}, "bed": {}}
    for path, watts in paths.items():
        vessels["bed" if path.startswith("bed ") else "tank"][path] = watts
    return {vessel: flows for vessel, flows in vessels.items() if flows}


def _drawing(assessment: Assessment, size: str) -> str:
    """The picture in one size."""
    canvas, flows = Canvas("room", size, HEIGHT[size]), heat_flows(assessment)
    _scenery(canvas, beds=bool(assessment.case.plan.beds), hut=assessment.case.plan.hut is not None)
    widest = max((abs(flow.watts) for flow in flows), default=1.0)
    for flow in flows:
        spot = SPOTS[size].get((flow.place, flow.group))
        if spot is None:  # the pump's few watts in the water: in the words of the picture, and in the table
            continue
        width = arrow_width(flow.watts, widest, size)
        _arrow(canvas, flow, spot, width)
        _label(canvas, flow, spot, width)
    return canvas.svg("Heat at the hour of peak heat demand", room_alt(assessment))


def _scenery(canvas: Canvas, *, beds: bool, hut: bool) -> None:
    """Ground, room, tank and beds."""
    boxes = BOXES[canvas.size]
    left, top, right, bottom = boxes["room"]
    canvas.rect(left - 40, bottom, right - left + 80, 8, "ground")
    canvas.rect(left, top, right - left, bottom - top, "walls")
    canvas.text(right - 8, top + 20, "room", "end", "soft")
    for name, words in (("tank", "tank"), ("bed", "beds")):
        if name == "bed" and not beds:
            continue
        x0, y0, x1, y1 = boxes[name]
        if name == "bed" and not canvas.narrow:
            for x in (x0 + 6, x1 - 6):
                canvas.line((x, y1), (x, bottom), "wall")
        canvas.rect(x0, y0, x1 - x0, y1 - y0, "vessel")
        canvas.text(x0 + 7, y1 - 7, words)
    if hut:
        x0, y0, x1 = boxes["tank"][0], boxes["bed"][1], boxes["bed"][2]
        canvas.rect(x0 - 14, y0 - 96, x1 - x0 + 96, bottom - y0 + 96, "hut")


def _arrow(canvas: Canvas, flow: Flow, spot: Spot, width: float) -> None:
    """An arrow from the inside to the outside, or the other way round where heat comes in."""
    (dx, dy), sign = spot.outwards, 1.0 if flow.watts > 0 else -1.0
    tail = (spot.x, spot.y) if sign > 0 else (spot.x + dx * spot.length, spot.y + dy * spot.length)
    head = min(0.5 * spot.length, max(8.0, 0.45 * width))

    def point(along: float, across: float) -> str:
        x, y = tail[0] + sign * dx * along - dy * across, tail[1] + sign * dy * along + dx * across
        return f"{x:.2f} {y:.2f}"

    half, shaft = width / 2.0, spot.length - head
    wing = half + max(4.0, 0.18 * width)
    corners = [
        point(0, -half), point(shaft, -half), point(shaft, -wing), point(spot.length, 0), point(shaft, wing),
        point(shaft, half), point(0, half),
    ]  # fmt: skip
    kind = HEATER if flow.group == HEATER else f"group-{flow.group.replace(' ', '-')}"
    canvas.add(
        f'<path class="arrow {kind}" data-place="{flow.place}" data-group="{flow.group}" data-watts="{flow.watts:.2f}"'
        f' d="M{"L".join(corners)}Z"/>'
    )


def _label(canvas: Canvas, flow: Flow, spot: Spot, width: float) -> None:
    """Group and watts of an arrow, in two lines beside it."""
    (dx, dy), step = spot.outwards, canvas.letter * 1.2
    x, y = spot.x + dx * spot.length, spot.y + dy * spot.length
    half, anchor = width / 2.0 + max(4.0, 0.18 * width), "middle"
    if spot.label == "end" and dx:
        x, y, anchor = x + 6 * dx, y + 0.35 * step, "end" if dx < 0 else "start"
    elif spot.label == "end":
        y -= 6
    elif spot.label in ("right", "left"):
        side = 1.0 if spot.label == "right" else -1.0
        x, anchor = x + side * (half + 5), "start" if side > 0 else "end"
        y += 0.2 * step if dy > 0 else 1.4 * step
    elif spot.label == "below":
        x, y = x - 5 * dx, spot.y + half + 2 * step
    else:
        y, anchor = spot.y - half - 5, "start"
    words = watts_text(-flow.watts) if flow.group == HEATER else f"{heat_text(abs(flow.watts))} W"
    canvas.add(
        f'<text x="{number(x)}" y="{number(y - step)}" text-anchor="{anchor}" class="soft">{flow.group}</text>'
        f'<text x="{number(x)}" y="{number(y)}" text-anchor="{anchor}" class="strong">{words}</text>'
    )
