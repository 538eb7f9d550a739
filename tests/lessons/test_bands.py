"""Rings and the radius."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.bands import Band, band_for, band_of_stop
from lessons.planning.travel import RoadBook, Stop

RINGS = (
    Band(Decimal(5), Decimal(0)),
    Band(Decimal("12.5"), Decimal(6)),
    Band(Decimal(20), Decimal(11)),
)


@pytest.mark.parametrize(
    ("km", "standing", "surcharge", "label"),
    [
        (0.0, "inside", 0, "0-5 km"),
        (5.0, "inside", 0, "0-5 km"),
        (5.01, "band", 6, "5-12.5 km"),
        (12.5, "band", 6, "5-12.5 km"),
        (20.0, "band", 11, "12.5-20 km"),
        (20.1, "outside", 11, "beyond 20 km"),
        (None, "unknown", 0, "distance unknown"),
    ],
)
def test_the_ring_of_a_distance(
    km: float | None, standing: str, surcharge: int, label: str
) -> None:
    found = band_for(km, RINGS)

    assert (found.standing, found.surcharge, found.label) == (standing, surcharge, label)


def test_without_bands_everything_is_inside() -> None:
    assert band_for(400, ()).standing == "inside"


@given(st.floats(0, 100), st.floats(0, 100))
def test_further_never_costs_less_when_rings_do_not(a: float, b: float) -> None:
    near, far = sorted((a, b))

    assert band_for(near, RINGS).surcharge <= band_for(far, RINGS).surcharge


def test_the_base_and_online_lie_in_no_ring() -> None:
    base = Stop(1, (51.9, -8.5))
    book = RoadBook(base=base)

    assert band_of_stop(base, book, RINGS).standing == "none"
    assert band_of_stop(Stop(2, is_online=True), book, RINGS).standing == "none"


def test_the_radius_is_measured_by_road_and_not_by_the_crow() -> None:
    """15 km straight are 21 km by road: outside a radius of 20."""
    book = RoadBook(base=Stop(1, (51.9, -8.5)))
    straight_15_km = Stop(2, (52.0348, -8.5))

    assert band_of_stop(straight_15_km, book, RINGS).standing == "outside"
