"""Air of a hut from outdoors or the house: its conductances and vapour by hand, its heat in the books."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.case import network_of
from thermal.analysis.unpowered_plan import without_power
from thermal.errors import PlanError
from thermal.plan.reader import plan_of, with_settings

COLD = {"climate.winters": [2016], "climate.coldest_night": "none"}
HUT = {"length": "3 m", "width": "2 m", "height": "2 m", "build": "foam hut", "air_changes": 3.0}
HOUSE = {"room.house_temperature": "20 degC", "room.house_night_temperature": "14 degC"}
# 12 m3 three times an hour, of dry air of 10 degC at 101.325 kPa (1.247 kg/m3), 1,006 J/kgK
G = 12.0 * 3.0 / 3600.0 * 1.247 * 1006.0


@pytest.fixture(scope="module")
def networks(case_with):
    """The workshop's network with its hut's air from each place."""

    def network(place):
        case = case_with({**COLD, **HOUSE, "hut": {**HUT, "air_from": place}})
        return case.network, case.weather.pressure_pa / 101325.0

    return {place: network(place) for place in ("room", "outdoors", "house")}


def link(network):
    pair = tuple(sorted((network.nodes.index("air"), network.nodes.index("hut"))))
    return network.link_w_per_k[network.links.index(pair), 0]


@pytest.mark.parametrize("place", ["outdoors", "house"])
def test_its_air_change_joins_it_to_that_place(networks, place):
    room, density = networks["room"]
    network, _ = networks[place]
    hut = network.nodes.index("hut")
    assert link(room) - link(network) == pytest.approx(G * density, rel=0.005)
    to_outdoors = (network.outdoor_w_per_k - room.outdoor_w_per_k)[hut, 0]
    to_house = (network.fixed_w_per_k - room.fixed_w_per_k)[hut, 0]
    expected = (G * density, 0.0) if place == "outdoors" else (0.0, G * density)
    assert (to_outdoors, to_house) == pytest.approx(expected, rel=0.005)
    gained_w = (network.source_w - room.source_w)[:, hut, 0]
    house_c = np.where((np.arange(24) < 6) | (np.arange(24) >= 22), 14.0, 20.0)
    assert gained_w == pytest.approx(to_house * house_c)


def test_its_vapour_leaves_past_the_room(networks):
    """House air has 4 g/m3 more than outdoor air (class 2 of EN ISO 13788): 36 m3/h bring 144 g/h."""
    room, outdoors, house = (networks[place][0].room_air for place in ("room", "outdoors", "house"))
    assert room.direct_change_kg_s is None
    for air in (outdoors, house):
        assert air.direct_change_kg_s == pytest.approx(room.hut_change_kg_s)
        assert air.hut_change_kg_s == 0.0
    assert (house.vapour_kg_s - outdoors.vapour_kg_s) * 3600.0 == pytest.approx(np.full((24, 1), 0.144))


def test_without_power_its_fan_rests(case_with):
    case = case_with({**COLD, "hut": {**HUT, "air_from": "outdoors"}})
    resting = network_of(without_power(case.plan), case.weather)
    assert resting.room_air.direct_change_kg_s is None


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("garden", "something that a hut can take its air from"),
        ("house", 'write house_temperature = "20 degC" in [room]'),
    ],
)
def test_wrong_places_are_refused_in_words(workshop, place, words):
    workshop.pop("measure")
    workshop["room"]["side"] = [side for side in workshop["room"]["side"] if side.get("faces") != "house"]
    with pytest.raises(PlanError) as caught:
        plan_of(with_settings(workshop, {"hut": {**HUT, "air_from": place}}))
    assert words in str(caught.value)
