"""Distances against published ones.

Sources: the GeodTest cases of GeographicLib (Karney, "Algorithms for geodesics", Journal of Geodesy
87, 2013); the GeodSolve example JFK - LHR of its documentation; Newport - Cleveland as the geopy
documentation prints it.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from geopy.distance import geodesic

from lessons.planning.travel import geodesic_km


def _entries(shared_checks: Path, prefix: str) -> list[dict[str, Any]]:
    rows = json.loads((shared_checks / "checks.json").read_text(encoding="utf-8"))
    found = [row for row in rows if row["id"].startswith(prefix)]
    assert found, f"no entry {prefix}"
    return [row for row in found if row["status"] in {"reproduced", "computed"}]


def test_the_geodtest_cases(shared_checks: Path) -> None:
    rows = [row for row in _entries(shared_checks, "C.geod.") if "lat1" in row["input"]]

    assert len(rows) >= 4
    for row in rows:
        ends = row["input"]
        here = geodesic_km((ends["lat1"], ends["lon1"]), (ends["lat2"], ends["lon2"]))
        assert here * 1000 == pytest.approx(row["expected"]["s12_m"], abs=1e-3), row["id"]


def test_new_york_to_london(shared_checks: Path) -> None:
    (row,) = _entries(shared_checks, "C.geod.jfk")

    here = geodesic_km(tuple(row["input"]["p1"]), tuple(row["input"]["p2"]))

    assert here * 1000 == pytest.approx(row["expected"]["s12_m"], abs=0.05)


def test_newport_to_cleveland(shared_checks: Path) -> None:
    (row,) = _entries(shared_checks, "C.geopy.newport")
    ends = tuple(row["input"]["p1"]), tuple(row["input"]["p2"])

    assert geodesic_km(*ends) == pytest.approx(row["expected"]["geodesic_km"], rel=1e-6)


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ((51.897, -8.470), (51.903, -8.402)),
        ((51.897, -8.470), (51.899, -8.474)),
        ((51.80, -8.90), (52.10, -8.20)),
        ((0.0, 179.9), (0.0, -179.9)),
    ],
)
def test_agrees_with_another_library(a: tuple[float, float], b: tuple[float, float]) -> None:
    """The geopy library, on roads round Cork and over the date line."""
    assert geodesic_km(a, b) == pytest.approx(geodesic(a, b).km, abs=1e-6)
    assert geodesic_km(a, b) == geodesic_km(b, a)
