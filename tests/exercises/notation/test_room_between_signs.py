"""No sign of an engraving stands in another: measured on every figure of the library.

Distances are in staff spaces. That signs must not touch is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from lxml import etree

from exercises.notation.drawing import SVG
from exercises.notation.engraving import Engraved, engraved_for
from exercises.notation.events import written
from exercises.notation.glyphs import BUZZ, OPEN_MARK
from exercises.notation.layout import screen_layout
from exercises.notation.score_options import ScoreOptions
from exercises.rhythm.figure import Figure
from exercises.rhythm.library import LIBRARY
from exercises.rhythm.typed import read_typed

SPACE = 180
LETTER_HEIGHT = 0.66
"""A capital's share of its font size in the Times family."""
_LINE = re.compile(r"M(\S+) (\S+) L(\S+) (\S+)")


def drawn(figure: Figure) -> Engraved:
    options = ScoreOptions(sticking=True, counting=True, prefix="room")
    return engraved_for(figure, screen_layout(figure, 680, counting=True), options)


@pytest.fixture(scope="module")
def library() -> dict[str, Engraved]:
    return {entry.slug: drawn(entry.figure) for entry in LIBRARY}


def systems(engraved: Engraved) -> Iterator[etree._Element]:
    for group in engraved.drawing.root.iter(f"{{{SVG}}}g"):
        if group.get("class") == "system":
            yield group


def lowest(system: etree._Element) -> float:
    """How far down the stems, beams and lines of a system reach."""
    depths = [0.0]
    for polygon in system.iter(f"{{{SVG}}}polygon"):
        depths += [float(point.split(",")[1]) for point in polygon.get("points", "").split()]
    for path in system.iter(f"{{{SVG}}}path"):
        if line := _LINE.fullmatch(path.get("d", "")):
            depths.append(float(line[4]))
    return max(depths)


def test_letters_stand_clear_of_stems_and_beams(library: dict[str, Engraved]) -> None:
    tight = {}
    for slug, engraved in library.items():
        for system in systems(engraved):
            tops = [
                float(text.get("y", "0")) - LETTER_HEIGHT * float(text.get("font-size", "0"))
                for text in system.iter(f"{{{SVG}}}text")
            ]
            if tops and (room := (min(tops) - lowest(system)) / SPACE) < 0.45:
                tight[slug] = round(room, 2)

    assert tight == {}


def test_letters_stand_near_a_staff_without_feet(library: dict[str, Engraved]) -> None:
    (system,) = systems(library["pad-paradiddle"])
    top = min(
        float(text.get("y", "0")) - LETTER_HEIGHT * float(text.get("font-size", "0"))
        for text in system.iter(f"{{{SVG}}}text")
    )

    assert (top - lowest(system)) / SPACE < 2


def test_the_stroke_of_a_half_open_hi_hat_keeps_to_its_ring(library: dict[str, Engraved]) -> None:
    ring = 280
    rings = 0
    for use in library["rock-loose-hats"].drawing.root.iter(f"{{{SVG}}}use"):
        if not use.get("href", "").endswith(OPEN_MARK):
            continue
        place = re.findall(r"-?[\d.]+", use.get("transform", ""))
        base, scale = float(place[1]), float(place[2])
        stroke = use.getnext()
        assert stroke is not None
        line = _numbers(stroke.get("d", ""))
        middle = base - ring * scale / 2
        assert (line[1] + line[3]) / 2 == pytest.approx(middle, abs=1)
        assert line[1] - base < 0.2 * SPACE
        rings += 1

    assert rings == 8


def _numbers(data: str) -> list[float]:
    return [float(number) for number in re.findall(r"-?[\d.]+", data)]


def test_the_z_of_a_buzz_stands_between_head_and_beam(library: dict[str, Engraved]) -> None:
    # Bounding box of buzzRoll in the font: 280 units high round its origin, 1000 units to the em.
    root = library["rudiment-04-multiple-bounce-roll"].drawing.root
    beam = max(
        float(point.split(",")[1])
        for polygon in root.iter(f"{{{SVG}}}polygon")
        for point in polygon.get("points", "").split()
    )
    tops = []
    for use in root.iter(f"{{{SVG}}}use"):
        if use.get("href", "").endswith(BUZZ):
            _, y, scale, *_ = _numbers(use.get("transform", ""))
            tops.append(y - 140 * scale)

    assert len(tops) == 8
    assert min(tops) > beam


def test_a_number_alone_where_a_beam_holds_the_tuplet() -> None:
    """Brackets belong to groups that no beam holds together: common practice, no source."""
    swung = read_typed("2/4\nRH ride: xxx x.x\n")
    (bar,) = written(swung)
    starts = [event for event in bar.hands if "start" in event.edge]

    assert [event.is_one_beam for event in starts] == [True, False]
    brackets = drawn(swung).drawing.root.findall(f".//{{{SVG}}}g[@class='tuplet']")
    assert [len(group.findall(f".//{{{SVG}}}polyline")) > 0 for group in brackets] == [False, True]


def test_a_rest_at_the_edge_of_a_tuplet_asks_for_its_bracket() -> None:
    (bar,) = written(read_typed("1/4\nRH: .xx\n"))

    assert [event.is_one_beam for event in bar.hands if "start" in event.edge] == [False]
