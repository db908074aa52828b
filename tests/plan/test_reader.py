from __future__ import annotations

import contextlib
import copy
import math
from typing import get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from thermal.errors import PlanError
from thermal.plan import damp_tables, heat_tables, room_tables, system_tables
from thermal.plan import schema as plan_schema
from thermal.plan.reader import plan_of, read_document, read_plan, schema, with_settings
from thermal.plan.table import Table, key_texts


def faults_of(document):
    with pytest.raises(PlanError) as caught:
        plan_of(document, "plan.toml")
    return caught.value.faults


def test_the_demo_plan_is_understood(workshop):
    plan = plan_of(workshop)
    tank, bed = plan.tanks[0], plan.beds[0]
    assert tank.water_m3 == pytest.approx(math.pi * 0.6**2 * 0.8)
    assert tank.wall_m2 == pytest.approx(math.pi * 1.2 * 0.8)
    assert bed.surface_m2 == pytest.approx(2 * 1.2 * 0.8)
    assert plan.keep.thermostat_c == 11.0
    assert plan.power.circuit_w == 1800.0
    assert plan.room.volume_m3 == pytest.approx(78.0)


def test_all_faults_are_told_at_once(workshop):
    tank = workshop["tank"][0]
    tank["dimeter"] = "1.2 m"
    tank["diameter"] = "4 ft2"
    tank["insulation"] = "XPS"
    workshop["keep"]["thermostat"] = "5 degC"
    workshop["room"]["air_changes"] = "gapy"
    workshop["bed"][0]["water_depth"] = "-1 m"
    workshop["power"]["price"] = float("nan")
    workshop["roof"] = {}
    said = "\n".join(faults_of(workshop))
    assert "tank 1 ('perch tank'), dimeter: unknown key; did you mean 'diameter'?" in said
    assert "an area, but a length is needed here" in said
    assert "'XPS' is neither a preset nor a layer" in said
    assert "the thermostat is 5 degC (41 degF), below the minimum water temperature of 10 degC (50 degF)" in said
    assert "did you mean 'gappy'?" in said
    assert "bed 1 ('lettuce bed'), water_depth: '-1 m' is out of range" in said
    assert "nan is not a plain number" in said
    assert "roof: unknown key; did you mean 'room'?" in said


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("tank.height", "0.5 m", "water is deeper"),
        ("tank.shape", "oval", "is not a shape"),
        ("tank.diameter", "inf m", "not a quantity"),
        ("bed.fill", "gravl", "did you mean 'gravel'"),
        ("bed.water_depth", True, "has no unit"),
        ("pump.hours", "6-22", "not a time range"),
        ("room.side.door.faces", "atic", "did you mean 'attic'"),
        ("room.side.door.facing", "nroth", "did you mean 'north'"),
        ("room.side.door.colour", "drak", "did you mean 'dark'"),
        (
            "room.night_temperature",
            "14 degC",
            "night_temperature goes with temperature, the air of a heated room by day",
        ),
        ("room.night_hours", "22:00-06:00", "night_hours goes with night_temperature or house_night_temperature"),
        ("room.house_night_temperature", "80 degC", "house_night_temperature: '80 degC' is out of range"),
        ("tank.top_share", "85 %", "top_share: a top that is open covers nothing; write the cover"),
        ("tank.top_share", 85, "top_share: 85 is out of range; write a share between 0 and 1"),
        ("tank.front", "house", "a round vessel has no front side; remove it, or write shape"),
        ("bed.front", "hose", "front: 'hose' is not something that a side of a tank can face; did you mean 'house'"),
        ("bed.back", "house", "bed 1 ('lettuce bed'), back: it faces a house of unknown temperature; write house_temp"),
        ("tank.buried_depth", "2 m", "buried_depth: 2 m is deeper than the vessel is high (0.8 m); write at most that"),
        ("tank.buried_depth", "1 cm", "buried_depth: '1 cm' is out of range; write a length between"),
        ("bed.buried_depth", "20 cm", "buried_depth: what is sunk into the floor stands on no frame; write stands_on"),
        ("barrel", [{"volume": "20 m3"}], "barrel 1, volume: '20 m3' is out of range; write a volume between"),
        ("barrel", [{"count": 2}], "barrel 1, volume: missing"),
        ("barrel", [{"volume": "200 L", "count": 400}], "tanks, beds and barrels on the slab take"),
        ("barrel", {"volume": "20 L"}, "write a table [[barrel]]"),
        ("barrel", [{"volume": "20 L", "where": "shed"}], "'shed' is not a place for a barrel"),
        ("pump.duty", "now and then", "'now and then' is not a duty; write for example \"10 min every hour\""),
        ("pump.duty", "70 min every hour", "write a run above 0 that is not longer than its period"),
        ("pump.duty", "10 min every 8 h", "write a period between 1 min and 6 h, or the times as hours"),
        (
            "water.start_temperature",
            "-5 degC",
            "start_temperature: '-5 degC' is out of range",
        ),
        ("heater.cut_out", "9 degC", "heater, cut_out: 9 degC (48.2 degF) is below the thermostat of 11 degC"),
        ("heater.hours", "never", "a heater whose timer never switches it on heats nothing"),
        ("climate.sun", "yes", "sun: 'yes' is neither true nor false; write true or false without quotes"),
        ("room.side.door.build", {"steel 2 mm": 1}, "{'steel 2 mm': 1} is not a known build; write one of 'studs"),
        ("room.side.door.build", "steel dor, bare", "did you mean 'steel door, bare'"),
        ("heater.where", "watter", "did you mean 'water'"),
        ("keep.floor", "80 degC", "out of range"),
        ("tank.diameter", "1.2 mm", "out of range"),
        ("climate.winters", "al", "choice of winters"),
        ("power.circuit", "15 amps", "not a circuit"),
        ("power.circuit", ["15 A 120 V", 20], "'20' is not a circuit"),
        ("power.circuit", [], "0 circuits are out of range"),
        ("power.circuit", "0 A 120 V", "out of range"),
        ("power.circuit", "15 A 12 V", "out of range"),
        ("tank.water_depth", [1], "has no unit"),
        ("room", 3, "a table"),
        ("tank", {"a": 1}, "a single table is not a list; write a table [[tank]]"),
        ("tank", [3], "tank 1: 3 is a single value, but this is a table; write a table [[tank]]"),
        ("room", [3], "room: [3] is a list, but this is one table; write a table [room]"),
        ("tank", [], "tank: empty; write a table [[tank]]"),
        ("title", 7, "title: 7 is not text; write it in quotes"),
        ("title", "x" * 300, "is too long; write at most 200 characters"),
        ("tank.count", 0, "count: 0 is out of range; write at least 1"),
        ("tank.count", 2.5, "count: 2.5 is not a whole number; write for example count = 2"),
        ("heater.units", ["300 W"] * 30, "heater, units: 30 are too many; write at most 20"),
        ("power.period", [{"months": [13], "price": 1}], "months 1: 13 is out of range; write at most 12"),
        ("power.tier", {"price": 1}, "write a table [[power.tier]]"),
        ("room.side", 3, "write a table [[room.side]]"),
        ("unknown", [{"key": "a", "low": [1], "high": 2}], "low: [1] is not one number, with its unit in quotes"),
        ("measure", [{"name": "a", "cost": 1, "set": 3}], 'write for example set = { "tank.top" = "snug foam lid" }'),
    ],
)
def test_each_mistake_has_its_sentence(workshop, key, value, said):
    if "." not in key:
        workshop[key] = value
    else:
        workshop = with_settings(workshop, {key: value})
    assert any(said in fault for fault in faults_of(workshop)), faults_of(workshop)


def test_a_measure_that_leads_nowhere_is_a_fault(workshop):
    workshop["measure"] = [{"name": "odd", "cost": 1, "set": {"tank.insulashun": "R-10"}}]
    assert "measure 'odd'" in faults_of(workshop)[0]


def test_faults_of_measures_and_unknowns_are_told_with_the_others(workshop):
    workshop["climate"]["winters"] = "2016"
    workshop["power"]["circuit"] = "15 amps"
    workshop["measure"] = [
        {"name": "lid", "cost": 35, "set": {"tank.lid": "snug foam lid"}},
        {"name": "cheaper power", "cost": 0, "set": {"power.price": 0.1, "bed.colour": "red"}},
        {"name": "broken", "cost": "35", "set": {"tank.top": "open"}},
        {"name": "fine", "cost": 35, "set": {"tank.top": "snug foam lid"}},
    ]
    workshop["unknown"] = [{"key": "room.house_temperature", "low": "14 degC", "high": "90 degC"}]
    faults = faults_of(workshop)
    for begins in (
        "climate, winters: '2016' is not",
        "power, circuit: '15 amps' is not",
        "measure 3 ('broken'), cost: '35' is not",
        "measure 'lid': tank 1 ('perch tank'), lid: unknown key",
        "measure 'cheaper power': 'power.price' may not",
        "measure 'cheaper power': bed 1 ('lettuce bed'), colour: unknown key",
        "unknown 'room.house_temperature': room, house_temperature: '90 degC' is out of range",
    ):
        assert [fault for fault in faults if fault.startswith(begins)], begins
    assert len(faults) == 7


def test_a_measure_does_not_repeat_what_is_wrong_anyway(workshop):
    workshop["tank"][0]["insulation"] = "XPS"
    workshop["measure"] = [{"name": "lid", "cost": 35, "set": {"tank.top": "snug foam lid"}}]
    assert len(faults_of(workshop)) == 1


@pytest.mark.parametrize("broken", [3, [3], ["tank"], {"top": 1}, None])
def test_measures_of_a_broken_table_are_faults_too(workshop, broken):
    workshop["tank"] = broken
    workshop["measure"] = [{"name": "lid", "cost": 35, "set": {"tank.top": "snug foam lid"}}]
    assert all(fault.startswith("tank") for fault in faults_of(workshop))


def test_settings_reach_all_or_the_named_one(workshop):
    changed = plan_of(with_settings(workshop, {"room.side.door.build": "R-5", "tank.top": "loose lid"}))
    builds = {side.name: side.build for side in changed.room.sides}
    assert builds["door"] == "R-5"
    assert builds["outside walls"] == "studs with batts"
    assert changed.tanks[0].top == "loose lid"


@pytest.mark.parametrize(
    ("raw", "said"),
    [(b"\xff\xfe", "not UTF-8"), (b"title = ", "not valid TOML"), (b"x" * (1 << 21), "at most")],
)
def test_broken_files_are_refused(tmp_path, raw, said):
    path = tmp_path / "plan.toml"
    path.write_bytes(raw)
    with pytest.raises(PlanError, match=said):
        read_plan(path)


def test_a_missing_file_and_windows_habits(tmp_path, workshop_text):
    with pytest.raises(PlanError, match="cannot be read"):
        read_plan(tmp_path / "none.toml")
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + workshop_text.replace("\n", "\r\n").encode())
    assert read_document(path)["title"]


JUNK = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20), st.lists(st.integers()))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data())
def test_junk_anywhere_is_a_plan_error_or_a_plan(workshop, data):
    document = copy.deepcopy(workshop)
    node = document
    for _ in range(3):
        key = data.draw(st.sampled_from(sorted(node) if isinstance(node, dict) else range(len(node))))
        if not isinstance(node[key], dict | list) or not node[key] or data.draw(st.booleans()):
            break
        node = node[key]
    node[key] = data.draw(JUNK)
    with contextlib.suppress(PlanError):
        assert plan_of(document).tanks


MODULES = (system_tables, room_tables, heat_tables, damp_tables, plan_schema)
NAMES = {name: item for module in MODULES for name, item in vars(module).items()}
TABLES = [item for item in NAMES.values() if isinstance(item, type) and issubclass(item, Table)]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_every_key_is_explained(table):
    texts = key_texts(table)
    assert set(texts) == set(table.model_fields)
    for key, field in table.model_fields.items():
        assert texts[key]["text"].endswith("Required.") == field.is_required(), key


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_every_example_of_a_key_is_accepted(table):
    types = get_type_hints(table, NAMES, include_extras=True)
    for key, row in key_texts(table).items():
        judge = TypeAdapter(types[key])
        for example in row.get("examples", []):
            judge.validate_python(example)


def test_the_schema_holds_the_explanations():
    tables = [*schema()["$defs"].values(), schema()]
    assert len(tables) == len(TABLES) - 1
    assert all(item["description"] for table in tables for item in table["properties"].values())
    assert '"snug foam lid"' in schema()["$defs"]["TankTable"]["properties"]["top"]["description"]
    assert schema()["$defs"]["PumpTable"]["properties"]["hours"]["examples"][0] == "always"


def test_one_circuit_or_a_list_of_circuits(workshop):
    """The first is that of pump and lights, and stays under its old keys."""
    power = plan_of(with_settings(workshop, {"power.circuit": ["20 A 120 V", " 15 A 120 V"]})).power
    assert power.circuits == ("20 A 120 V", "15 A 120 V")
    assert (power.circuit, power.circuit_w) == ("20 A 120 V", 2400.0)
    assert plan_of(workshop).power.circuits == ("15 A 120 V",)
    workshop["power"].pop("circuit")
    power = plan_of(workshop).power
    assert (power.circuits, power.circuit, power.circuit_w) == ((), "", None)
