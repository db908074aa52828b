"""Plans that are far from any plan: they are refused in words and at once."""

from __future__ import annotations

import re
import time

import pytest

from tests import fuzz
from tests.test_hardening import folder, short_plan
from thermal.errors import MOST_ON_ONE_LINE, MOST_SHOWN, PlanError
from thermal.plan.document_limits import document_faults, text_fault
from thermal.plan.reader import plan_of, read_document

_ = folder  # a fixture
PLAN = short_plan()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("a" + ".a" * 100_000 + " = 1", "more than 8 parts"),
        ("[" + "a" + ".a" * 1_000 + "]", "more than 8 parts"),
        ("a . b . c . d . e . f . g . h . i = 1", "more than 8 parts"),
        ("x = { " + 'a."b".' * 5 + "c = 1 }", "more than 8 parts"),
        ("x = " + "{ a = " * 9 + "1" + " }" * 9, "8 tables in one another"),
        ("x = " + "[" * 9 + "]" * 9, "8 lists in one another"),
        ("x = " + "[" * 5_000 + "]" * 5_000, "nested too deeply"),
        ("k" * 101 + " = 1", "101 characters long; write at most 100"),
        (f'"{"k " * 51}" = 1', "102 characters long; write at most 100"),
        ("x = " + "1" * 5_000, "5000 characters long"),
        ("x = 0x" + "f" * 5_000, "5002 characters long"),
        ("x = 10_000_000_000_000_000_000", "too large"),
    ],
    ids=range(12),
)
def test_a_document_beyond_any_plan_is_refused_at_once(tmp_path, line, said):
    path = tmp_path / "p.toml"
    path.write_text(f"{line}\n{PLAN}", "utf-8")
    begun = time.process_time()
    with pytest.raises(PlanError, match=said) as fault:
        plan_of(read_document(path), "p.toml")
    assert time.process_time() - begun < 1.0
    assert len(str(fault.value)) < 400


def test_eight_tables_and_a_key_of_a_hundred_characters_are_a_document():
    document: dict = {"k" * 100: 1}
    inner = document
    for _ in range(8):
        inner["t"] = inner = {}
    assert document_faults(document) == []
    inner["t"] = {}
    assert len(document_faults(document)) == 1


@pytest.mark.parametrize(
    "text",
    [
        'file = "a.b.c.d.e.f.g.h.i.j.csv"  # a.b.c.d.e.f.g.h.i.j.k',
        "x = '''\na.b.c.d.e.f.g.h.i.j = 1\n'''",
        'x = """a \\""" a.b.c.d.e.f.g.h.i.j"""',
        f'set = {{ "{"a." * 20}" = 1, b.c = 1.5 }}',
    ],
)
def test_dots_in_quotes_and_comments_are_no_keys(text):
    assert text_fault(text) == ""


@pytest.mark.parametrize(
    "piece", ['"', "'", '"""', "'''", "\\", "a", "a.", "#", '"\\"', "'''\\", "a . ", " ", "[", "-+"]
)
def test_a_mebibyte_of_anything_is_looked_at_in_a_second(piece):
    begun = time.process_time()
    text_fault(piece * ((1 << 20) // len(piece)))
    assert time.process_time() - begun < 1.0


@pytest.mark.parametrize(
    "sign", ["\\u001b[31mred", "a\\u0007", "a\\u009b2J", "a\\nb", "a\\tb", "a\\u202eb", "a\\u2028b"]
)
def test_control_characters_in_texts_and_keys_are_refused(folder, sign):
    plan = PLAN.replace('name = "', f'name = "{sign}', 1)
    assert plan != PLAN
    for text in (plan, f'"{sign}" = 1\n{PLAN}', PLAN.replace("[show]", f'"{sign}" = 1\n[show]'), f"# \x1b[31m\n{PLAN}"):
        (folder / "plan.toml").write_text(text, "utf-8")
        code, out, err = fuzz.ended("check", "plan.toml")
        assert code == 2
        assert "control character" in err or "invalid character" in err or "Illegal character" in err, err
        shown = (out + err).replace("\n", "")
        assert shown.isprintable(), shown
        assert "\\\\" not in shown, shown  # an escape once, not an escape of an escape


KEYS = [
    ("tank", "shape"), ("tank", "stands_on"), ("tank", "insulation"), ("tank", "top"), ("tank", "diameter"),
    ("tank", "room"), ("tank", "name"), ("pump", "hours"), ("room", "air_changes"), ("room", "width"),
    ("climate", "winters"), ("climate", "series"), ("power", "price"), ("power", "currency"), ("heater", "units"),
    ("keep", "floor"), ("show", "units"), ("fit", "room"),
]  # fmt: skip


@pytest.mark.parametrize("value", ["x" * 1_000_000, "12 " * 100_000, ["y'\\" * 100_000], {"z": "z" * 100_000}])
def test_values_in_messages_are_cut(folder, value):
    document = read_document(folder / "plan.toml")
    for table, key in KEYS:
        old = document.get(table, {})
        changed = [{**old[0], key: value}, *old[1:]] if isinstance(old, list) else {**old, key: value}
        with pytest.raises(PlanError) as fault:
            plan_of({**document, table: changed})
        assert all(len(line) < 800 for line in str(fault.value).splitlines()), str(fault.value)[:2000]
        if isinstance(value, str):
            assert value[:81] not in str(fault.value)


def test_values_of_measures_in_messages_are_cut(folder):
    document = read_document(folder / "plan.toml")
    for key in ("tank.insulation", "room.side.door.build", "x" * 90, "nothing.at.all", "room.air_changes"):
        measure = {"name": "n" * 120, "cost": 1, "set": {key: "v" * 100_000}}
        with pytest.raises(PlanError) as fault:
            plan_of({**document, "measure": [measure]})
        assert "v" * 81 not in str(fault.value)
        assert "n" * 81 not in str(fault.value)


def test_of_a_hundred_faults_the_first_are_shown_and_the_others_counted(folder):
    (folder / "plan.toml").write_text("".join(f"wrong_{number} = 1\n" for number in range(100)) + PLAN, "utf-8")
    code, _, err = fuzz.ended("check", "plan.toml")
    lines = err.splitlines()
    assert code == 2
    assert len(lines) == MOST_SHOWN + 1
    assert lines[-1] == f"plan.toml: and {100 - MOST_SHOWN} more faults; mend these first"
    with pytest.raises(PlanError) as fault:
        plan_of(read_document(folder / "plan.toml"))
    assert len(fault.value.faults) == 100
    assert fault.value.on_one_line().count("; ") < 2 * MOST_ON_ONE_LINE + 2, "a cell of a table"
    assert fault.value.on_one_line().endswith(f"; and {100 - MOST_ON_ONE_LINE} more faults; mend these first")
    assert PlanError("plan", ["a: x", "b: y"]).on_one_line() == "a: x; b: y"


def test_what_stands_between_two_values_of_a_message_is_not_cut():
    said = "bed 1 ('grow bed'), back: [24, True] is nothing that a side of a tank can face in any room; write 'house'"
    assert str(PlanError("plan", [said])) == f"plan: {said}"
    long = str(PlanError("plan", [f"bed 1 ('grow bed'), the day's top: {'x' * 200!r} is unknown; write 'open'"]))
    assert re.fullmatch(r"plan: bed 1 \('grow bed'\), the day's top: 'x{79}…' is unknown; write 'open'", long)


def test_a_name_that_is_no_text_is_not_shown_as_a_name(folder):
    (folder / "plan.toml").write_text(
        PLAN.replace("[[tank]]", '[[tank]]\nname = ["a", 1]', 1).replace('name = "perch tank"', "")
    )
    _, _, err = fuzz.ended("check", "plan.toml")
    assert "tank 1, name: ['a', 1] is not text; write it in quotes" in err, err


def test_the_place_of_a_fault_stands_on_one_line(folder):
    set_ = 'set = { "a\\nb" = { "c\\u0007" = 1 }, "" = { "c\\u0007" = 1 } }'
    (folder / "plan.toml").write_text(f'{PLAN}\n[[measure]]\nname = "lid"\ncost = 1\n{set_}\n', "utf-8")
    _, _, err = fuzz.ended("check", "plan.toml")
    assert "set, a\\nb" in err
    assert "set, ''" in err
    assert all(line.startswith("plan.toml: line ") for line in err.splitlines())
