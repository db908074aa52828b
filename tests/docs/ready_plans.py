"""Runs the ready plans in metres, and those of other places, and writes their results into README.

python -m tests.docs.ready_plans
"""

from __future__ import annotations

from tests.docs.markers import README, write_generated
from thermal import read_plan, scene_of
from thermal.analysis.assessment import assess
from thermal.plan.example_plans import example_path
from thermal.plan.wizard import ready_places, room_templates

NAME = "ready plans"
ELSEWHERE = tuple(
    (place, where, climate)
    for where, climate in (("lorraine", "Lorraine"), ("minneapolis", "Minneapolis"))
    for place in ("garage", "workshop")
)


def lines() -> list[str]:
    """One row for each kind of room in Springfield, and for each ready plan of another place."""
    table = [
        "| ready plan | room | coldest water, unheated | heater needed | heating, a winter |",
        "|---|---|---|---|---|",
    ]
    plans = {f"{place}-metric": room_templates()[place] for place in ready_places()}
    plans |= {f"{place}-{where}": f"{room_templates()[place]}, {climate}" for place, where, climate in ELSEWHERE}
    for name, room in plans.items():
        answer = assess(scene_of(read_plan(example_path(name))), remedies=False)
        coldest_c, needed_w = answer.coldest.coldest_c, answer.heater.needed_w
        kwh = answer.season.winter_costs[answer.season.median].kwh
        cold = "freezes" if coldest_c <= 0.005 else f"{coldest_c:.1f} °C"
        heater = f"{round(needed_w, -1):,.0f} W" if needed_w else "none"
        table.append(f"| `{name}` | {room} | {cold} | {heater} | {round(kwh, -1):,.0f} kWh |")
    return table


def main() -> None:
    """Write the table into README."""
    write_generated(README, NAME, lines())


if __name__ == "__main__":
    main()
