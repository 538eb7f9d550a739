"""The sheet of the area: true directions and distances, nothing on top of anything else."""

from __future__ import annotations

import math
from itertools import combinations, islice

import pytest
from geopy.distance import geodesic
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.area import BADGE, SIDE, PlaceToDraw, Sheet, bearing, draw, letters, wind

CORK = (51.8979, -8.4706)
offsets = st.tuples(st.floats(-0.2, 0.2), st.floats(-0.3, 0.3))


def _place(key: int, latitude: float, longitude: float, name: str = "Home") -> PlaceToDraw:
    return PlaceToDraw(key, name, "home", (latitude, longitude))


def _unit(sheet: Sheet) -> float:
    """Sheet units for a straight kilometre."""
    return sheet.scale_length / sheet.scale_km


@given(st.lists(offsets, min_size=1, max_size=8))
def test_distances_and_directions_are_true(moves: list[tuple[float, float]]) -> None:
    """Against geopy's geodesic (Karney, Journal of Geodesy 87, 2013)."""
    places = [_place(n, CORK[0] + y, CORK[1] + x) for n, (y, x) in enumerate(moves, start=1)]
    sheet = draw(CORK, places, [60.0], 1.4)

    for place, spot in zip(places, sheet.spots, strict=True):
        x, y = spot.point[0] - SIDE / 2, spot.point[1] - SIDE / 2
        km = geodesic(CORK, place.position).km
        assert math.hypot(x, y) / _unit(sheet) == pytest.approx(km, abs=0.05)
        if place.position[0] > CORK[0] + 0.01:
            assert y < 0
        if place.position[1] > CORK[1] + 0.01:
            assert x > 0


def test_letters_never_lie_on_each_other() -> None:
    """Twelve doors of one street, and the base beside them."""
    places = [_place(n, CORK[0] + n * 1e-5, CORK[1] + 1e-4) for n in range(1, 13)]
    sheet = draw(CORK, places, [5.0, 18.0], 1.4)

    for one, other in combinations(sheet.spots, 2):
        apart = max(abs(one.badge[0] - other.badge[0]), abs(one.badge[1] - other.badge[1]))
        assert apart >= 2 * BADGE
    assert [spot.letter for spot in sheet.spots] == list("ABCDEFGHIJKL")
    assert all(spot.is_aside for spot in sheet.spots[1:])


def test_rings_are_road_kilometres_and_a_far_place_is_at_the_edge() -> None:
    near, far = _place(1, CORK[0] + 0.05, CORK[1]), _place(2, CORK[0] + 2, CORK[1])
    sheet = draw(CORK, [near, far], [18.0, 5.0], 1.5)

    assert [ring.label for ring in sheet.rings] == ["5 km by road", "18 km by road"]
    assert sheet.rings[1].radius / _unit(sheet) == pytest.approx(12)
    assert [ring.is_outermost for ring in sheet.rings] == [False, True]
    assert [spot.is_beyond for spot in sheet.spots] == [False, True]
    assert 0 < sheet.spots[1].point[1] < SIDE / 2


def test_there_and_back_are_two_lines_in_order() -> None:
    sheet = draw(CORK, [_place(1, 51.95, -8.4706)], [], 1.4, [(0, 1, "9 min"), (1, 0, "8 min")])
    there, back = sheet.ways

    assert (there.words, back.words) == ("1: 9 min", "2: 8 min")
    assert there.bend != back.bend
    assert there.words_at != back.words_at
    assert there.start == back.end == (SIDE / 2, SIDE / 2)


def test_an_empty_area_has_a_scale_all_the_same() -> None:
    sheet = draw(CORK, [], [], 1.4)

    assert sheet.spots == ()
    assert sheet.scale_km >= 1
    assert 0 < sheet.scale_length <= SIDE


def test_the_same_places_are_drawn_the_same() -> None:
    places = [_place(n, CORK[0] + n * 0.001, CORK[1], f"Home {n}") for n in range(1, 30)]

    assert draw(CORK, places, [5.0], 1.4) == draw(CORK, places, [5.0], 1.4)


def test_letters_go_on_after_z() -> None:
    assert list(islice(letters(), 28))[25:] == ["Z", "AA", "AB"]


@pytest.mark.parametrize(
    ("degrees", "word"),
    [(0, "north"), (22, "north"), (23, "north-east"), (180, "south"), (359, "north")],
)
def test_winds(degrees: float, word: str) -> None:
    assert wind(degrees) == word


def test_bearing_across_the_date_line() -> None:
    degrees, km = bearing((0.0, 179.9), (0.0, -179.9))

    assert degrees == pytest.approx(90)
    assert km == pytest.approx(geodesic((0.0, 179.9), (0.0, -179.9)).km)
