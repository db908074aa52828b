"""Lines of keys are found as a person finds them: by looking in the file."""

from __future__ import annotations

import pytest

from thermal.plan.line_numbers import key_lines, with_lines

PLAN = '''\
title = "a # b = 1"
note = """
[keep]
floor = 1
"""
[keep] # of the water
species = [
  "perch",  # = ]
  "lettuce",
]
floor = "10 degC"

[[tank]]
diameter = "1 m"
[[tank]]
diameter = "2 m"
[tank."odd name"]
a.b = 3
[[room.side]]
area = 1
[[room.side]]
set = { "tank.top" = "open" }
[room]
length = 3
'''


@pytest.mark.parametrize(
    ("keys", "looks_like"),
    [
        (("title",), "title ="),
        (("keep",), "[keep]"),
        (("keep", "species"), "species ="),
        (("keep", "floor"), 'floor = "10'),
        (("tank", 1), "[[tank]]"),
        (("tank", 1, "diameter"), 'diameter = "2'),
        (("tank", 1, "odd name", "a", "b"), "a.b ="),
        (("room", "side", 1, "set"), "set ="),
        (("room", "length"), "length ="),
    ],
)
def test_a_key_stands_in_its_line(keys, looks_like):
    number = key_lines(PLAN)[keys]
    assert PLAN.split("\n")[number - 1].startswith(looks_like)
    if keys == ("tank", 1):
        assert number > key_lines(PLAN)[("tank", 0, "diameter")]


def test_faults_stand_in_the_order_of_their_lines_and_those_without_last():
    faults = ["no place at all", "tank 2 ('x'), diameter: bad", "keep, floor: bad", "tank 1, walls: missing"]
    found = with_lines(PLAN, faults)
    assert [fault.split(": ")[1] for fault in found[:-1]] == ["keep, floor", "tank 1, walls", "tank 2 ('x'), diameter"]
    numbers = [int(fault.split(":")[0].removeprefix("line ")) for fault in found[:-1]]
    lines = PLAN.split("\n")
    assert [lines[number - 1][:8] for number in numbers] == ["floor = ", "[[tank]]", "diameter"]
    assert found[-1] == "no place at all"
