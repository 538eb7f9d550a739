"""Limb wheel and lanes: every stroke where it belongs, in the limb's own shape and colour."""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise
from math import atan2, hypot, pi

import pytest
from hypothesis import given, settings
from lxml import etree
from reportlab.pdfgen.canvas import Canvas

from exercises.notation.count_line import count_steps, said
from exercises.notation.lanes_picture import lanes_parts, lanes_picture, surface_words
from exercises.notation.palette import LIMB_LOOKS
from exercises.notation.picture import Dot, Mark, Picture, Rule, Words
from exercises.notation.wheel import draw_wheel, limb_wheel, wheel_picture
from exercises.rhythm.figure import Figure
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.pieces import (
    EIGHT_BARS,
    FUNK,
    PIECES,
    ROCK,
    SEVEN_EIGHT,
    SEXTUPLETS,
    SHUFFLE,
    SIX_EIGHT,
    repeated,
    strokes,
)
from tests.strategies import any_meters, figures


def marks(picture: Picture) -> list[Mark]:
    return [part for part in picture.parts if isinstance(part, Mark)]


def stroke_marks(picture: Picture) -> list[Mark]:
    return [mark for mark in marks(picture) if mark.stroke_id]


def turn(mark: Mark, size: float) -> float:
    """How far round from the top, clockwise, as a part of a turn."""
    x, y = mark.centre[0] - size / 2, mark.centre[1] - size / 2
    return (atan2(y, x) / (2 * pi) + 0.25) % 1


def radius(mark: Mark, size: float) -> float:
    return hypot(mark.centre[0] - size / 2, mark.centre[1] - size / 2)


def words(picture: Picture, kind: str) -> list[str]:
    return [p.text for p in picture.parts if isinstance(p, Words) and p.kind == kind]


class TestColours:
    def test_are_okabe_and_itos(self) -> None:
        """M. Okabe and K. Ito, "Color Universal Design" (2008): blue, vermilion, bluish green,
        reddish purple, as RGB 0-255. The triplets are from memory of their table.
        """
        triplets = {
            "RH": (0, 114, 178),
            "LH": (213, 94, 0),
            "RF": (0, 158, 115),
            "LF": (204, 121, 167),
        }

        for limb, triplet in triplets.items():
            colour = LIMB_LOOKS[Limb(limb)].colour
            assert tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5)) == triplet

    def test_every_limb_has_a_shape_of_its_own(self) -> None:
        assert len({look.shape for look in LIMB_LOOKS.values()}) == len(LIMBS)


class TestWheel:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_every_stroke_stands_at_its_time(self, piece: Figure) -> None:
        found = {mark.stroke_id: mark for mark in stroke_marks(wheel_picture(piece, 200, "x"))}

        assert len(found) == len(piece)
        for stroke in piece.strokes:
            mark = found[f"x-{stroke.limb.value}-{stroke.tick}"]
            expected = float(stroke.onset / piece.length_beats)
            assert abs((turn(mark, 200) - expected + 0.5) % 1 - 0.5) < 1e-9
            assert mark.limb is stroke.limb

    @given(figures(meters=any_meters()))
    @settings(max_examples=25)
    def test_any_figure_fits_its_box(self, figure: Figure) -> None:
        for size in (40, 160):
            picture = wheel_picture(figure, size, "x")
            for mark in stroke_marks(picture):
                reach = mark.radius * 1.3
                assert reach <= mark.centre[0] <= size - reach
                assert reach <= mark.centre[1] <= size - reach

    def test_right_hand_is_outermost(self) -> None:
        rings = {m.limb: radius(m, 200) for m in stroke_marks(wheel_picture(SEXTUPLETS, 200, "x"))}

        assert rings[Limb.RH] > rings[Limb.LH] > rings[Limb.RF] > rings[Limb.LF]

    def test_ghosts_are_hollow_and_accents_larger(self) -> None:
        found = {m.stroke_id: m for m in stroke_marks(wheel_picture(FUNK, 200, "x"))}

        assert found["x-LH-630"].is_hollow
        assert not found["x-LH-840"].is_hollow
        assert found["x-LH-840"].radius > found["x-RH-0"].radius

    def test_neighbours_on_a_ring_do_not_cover_each_other(self) -> None:
        for piece in PIECES:
            found = stroke_marks(wheel_picture(piece, 160, "x"))
            for limb in LIMBS:
                own = [m for m in found if m.limb is limb]
                for a, b in pairwise(own):
                    gap = hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1])
                    assert gap > 0.6 * (a.radius + b.radius)

    @pytest.mark.parametrize(
        ("piece", "numbers"),
        [
            (ROCK, ["1", "2", "3", "4"]),
            (SIX_EIGHT, ["1", "2"]),
            (SEVEN_EIGHT, ["1", "2", "3"]),
            (EIGHT_BARS, [str(n) for n in range(1, 9)]),
        ],
        ids=lambda p: getattr(p, "title", ""),
    )
    def test_numbers_beats_or_bars(self, piece: Figure, numbers: list[str]) -> None:
        assert words(wheel_picture(piece, 160), "number") == numbers

    def test_tells_bars_from_beats(self) -> None:
        spokes = [p for p in wheel_picture(repeated(ROCK, 2), 160).parts if isinstance(p, Rule)]

        assert [s.kind for s in spokes] == (["spoke bar"] + ["spoke"] * 3) * 2
        bar, beat = spokes[0], spokes[1]
        assert bar.thickness > beat.thickness

    def test_names_the_limbs_in_use(self) -> None:
        assert words(wheel_picture(ROCK, 160), "letters") == ["RH", "LH", "RF"]

    def test_is_a_fingerprint_without_words_when_small(self) -> None:
        assert not [p for p in wheel_picture(ROCK, 48).parts if isinstance(p, Words)]

    def test_draws_on_a_canvas_what_it_draws_in_svg(self) -> None:
        out = BytesIO()
        canvas = Canvas(out, pageCompression=0)

        height = draw_wheel(SHUFFLE, canvas, 10, 20, size=130)
        canvas.save()

        picture = wheel_picture(SHUFFLE, 130)
        assert height == picture.height
        blue = [m for m in marks(picture) if m.limb is Limb.RH]
        assert out.getvalue().count(b"0.0000 0.4471 0.6980 RG") == len(blue)

    def test_an_empty_figure_has_its_rings(self) -> None:
        assert "ring" in limb_wheel(Figure.of("4/4", 1, []))


class TestSvg:
    @pytest.mark.parametrize("draw", [limb_wheel, lanes_picture])
    def test_has_no_styles_and_its_accessible_name(self, draw: object) -> None:
        svg = draw(FUNK, prefix="x", label='A "wheel" <of> it')  # type: ignore[operator]

        assert "style" not in svg
        root = etree.fromstring(svg)
        assert (root.get("role"), root.get("aria-label")) == ("img", 'A "wheel" <of> it')
        assert len(root.xpath("//*[@data-stroke]")) == len(FUNK)

    @pytest.mark.parametrize("draw", [limb_wheel, lanes_picture])
    def test_is_hidden_from_screen_readers_without_one(self, draw: object) -> None:
        root = etree.fromstring(draw(FUNK))  # type: ignore[operator]

        assert root.get("aria-hidden") == "true"
        assert root.get("role") is None

    def test_classes_let_the_page_restyle_it(self) -> None:
        root = etree.fromstring(limb_wheel(FUNK))

        kinds = {e.get("class") for e in root if e.get("class")}
        assert {"ring", "spoke", "mark limb-rh", "mark limb-lh hollow", "number"} <= kinds


class TestLanes:
    @pytest.mark.parametrize("width", [360, 640])
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_fits_and_keeps_time(self, piece: Figure, width: int) -> None:
        picture = lanes_parts(piece, width, prefix="x")
        found = {m.stroke_id: m for m in stroke_marks(picture)}

        assert len(found) == len(piece)
        assert picture.width <= width
        for mark in found.values():
            assert mark.radius <= mark.centre[0] <= width
            assert mark.centre[1] < picture.height
        if piece.bars == 1:
            for limb in LIMBS:
                places = [found[f"x-{limb.value}-{s.tick}"].centre[0] for s in piece.line(limb)]
                assert places == sorted(places)

    def test_strokes_at_one_moment_stand_in_one_column(self) -> None:
        found = {m.stroke_id: m for m in stroke_marks(lanes_parts(FUNK, 640, prefix="x"))}

        assert found["x-RH-0"].centre[0] == found["x-RF-0"].centre[0]
        assert found["x-LH-840"].centre[0] == found["x-RH-840"].centre[0]

    def test_has_a_row_for_each_limb_in_use_or_for_all(self) -> None:
        assert words(lanes_parts(ROCK, 640), "limb") == ["RH", "LH", "RF"]
        assert words(lanes_parts(ROCK, 640, every_limb=True), "limb") == ["RH", "LH", "RF", "LF"]

    def test_says_what_is_struck(self) -> None:
        figure = Figure.of(
            "4/4",
            1,
            strokes(Limb.RH, Surface.RIDE, ["0"])
            + strokes(Limb.LH, Surface.SNARE, ["0", "1"])
            + strokes(Limb.LH, Surface.HIGH_TOM, ["2"]),
        )

        told = [surface_words(figure, limb) for limb in LIMBS]
        assert told == ["ride", "snare and others", "", ""]

    def test_wraps_after_whole_bars(self) -> None:
        one, eight = lanes_parts(FUNK, 640), lanes_parts(EIGHT_BARS, 640)

        assert eight.height == pytest.approx(4 * one.height)

    @pytest.mark.parametrize(
        ("piece", "count"),
        [
            (FUNK, "1 e & a 2 e & a 3 e & a 4 e & a"),
            (SHUFFLE, "1 trip let 2 trip let 3 trip let 4 trip let"),
            (SEVEN_EIGHT, "1 2 3 4 5 6 7"),
            (SIX_EIGHT, "1 2 3 & 4 5 6"),
            (SEXTUPLETS, "1 trip let 2 trip let 3 trip let 4 trip let"),
        ],
        ids=lambda p: getattr(p, "title", ""),
    )
    def test_counts(self, piece: Figure, count: str) -> None:
        assert " ".join(words(lanes_parts(piece, 640), "count")) == count

    def test_marks_the_steps_of_each_beat(self) -> None:
        figure = Figure.of("2/4", 1, strokes(Limb.RH, Surface.SNARE, ["0", "1/4", "1", "4/3"]))

        assert count_steps(figure) == (4, 3)
        dots = [p for p in lanes_parts(figure, 640).parts if isinstance(p, Dot)]
        assert len(dots) == 7

    def test_leaves_nameless_steps_unsaid(self) -> None:
        figure = Figure.of("2/4", 1, strokes(Limb.RH, Surface.SNARE, ["1/8", "7/6"]))

        assert [said(figure, s.onset) for s in figure.strokes] == ["", ""]
