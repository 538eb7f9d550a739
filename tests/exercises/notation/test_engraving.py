"""The engraved SVG: right in every thread, fit for a strict page, noteheads that name strokes."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from threading import Thread

import pytest
from hypothesis import given, settings
from lxml import etree

from exercises.notation import engraving
from exercises.notation.engraving import EngravingError, engrave
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.limbs import Limb
from exercises.rhythm.record import stroke_id
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.pieces import (
    EIGHT_BARS,
    FLAMS,
    FUNK,
    OPEN_HATS,
    PIECES,
    ROCK,
    SHUFFLE,
    strokes,
)
from tests.strategies import sensible_figures

SVG = "{http://www.w3.org/2000/svg}"
GRACES = {Ornament.NONE: 0, Ornament.FLAM: 1, Ornament.DRAG: 2}


def tree(svg: str) -> etree._Element:
    return etree.fromstring(svg)


def named(svg: str) -> dict[str, etree._Element]:
    """Every group that has an id."""
    return {g.get("id", ""): g for g in tree(svg).iter(f"{SVG}g") if g.get("id")}


def place(group: etree._Element) -> tuple[float, float]:
    """Where the first head of a group stands."""
    match = re.match(r"translate\(([\d.-]+),([\d.-]+)\)", group[0].get("transform", ""))
    assert match
    return float(match[1]), float(match[2])


def assert_in_order(figure: Figure, heads: dict[str, etree._Element]) -> None:
    """What sounds together stands together, and left of what sounds later."""
    columns: dict[int, list[float]] = {}
    for stroke in figure.strokes:
        columns.setdefault(stroke.tick, []).append(place(heads[stroke_id("x", stroke)])[0])
    ends = [(min(xs), max(xs)) for _, xs in sorted(columns.items())]
    # A head is 234 to 260 wide; in a chord of neighbours one stands on the stem's other side.
    assert all(right - left < 600 for left, right in ends)
    assert all(b[0] > a[1] + 100 for a, b in pairwise(ends))


class TestThreads:
    def test_works_outside_the_main_thread(self) -> None:
        found: list[str] = []
        thread = Thread(target=lambda: found.append(engrave(FUNK)))

        thread.start()
        thread.join()

        assert found == [engrave(FUNK)]

    def test_never_mixes_figures_up(self) -> None:
        alone = {piece: engrave(piece, width=500) for piece in PIECES[:6]}
        work = list(alone) * 4

        with ThreadPoolExecutor(8) as pool:
            drawn = list(pool.map(lambda piece: engrave(piece, width=500), work))

        assert [svg == alone[piece] for piece, svg in zip(work, drawn, strict=True)] == [True] * 24


class TestStrictPages:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_has_no_style_script_or_link_to_elsewhere(self, piece: Figure) -> None:
        svg = engrave(piece, sticking=True, counting=True, bpm=92, label="a", description="b")

        assert "style" not in svg
        assert "xlink" not in svg
        assert "http" not in svg.replace('xmlns="http://www.w3.org/2000/svg"', "")
        tags = {etree.QName(e).localname for e in tree(svg).iter()}
        shapes = {"g", "use", "path", "polygon", "polyline", "ellipse", "text"}
        assert tags <= {"svg", "title", "desc", "defs"} | shapes

    def test_every_glyph_used_is_there(self) -> None:
        root = tree(engrave(SHUFFLE, bpm=80))

        there = {f"#{path.get('id')}" for path in root.iterfind(f"{SVG}defs/{SVG}path")}
        assert {use.get("href") for use in root.iter(f"{SVG}use")} == there

    def test_two_figures_on_a_page_share_no_id(self) -> None:
        ids = [
            e.get("id")
            for svg in (engrave(FUNK, prefix="a"), engrave(FUNK, prefix="b"))
            for e in tree(svg).iter()
            if e.get("id")
        ]

        assert len(ids) == len(set(ids))

    def test_words_of_people_cannot_become_markup(self) -> None:
        evil = '"><script>alert(1)</script>'

        svg = engrave(ROCK.titled(evil), label=evil, description=evil)

        assert tree(svg).find(f".//{SVG}script") is None
        assert tree(svg).get("aria-label") == evil

    def test_takes_its_colour_from_the_page(self) -> None:
        svg = engrave(FUNK)

        colours = set(re.findall(r'(?:fill|stroke|color)="([^"]+)"', svg))
        assert colours <= {"currentColor", "none"}


class TestStrokes:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_every_notehead_names_its_stroke(self, piece: Figure) -> None:
        names = [stroke_id("x", s) for s in piece.strokes]
        names += [
            f"{stroke_id('x', s)}-g{n + 1}"
            for s in piece.strokes
            for n in range(GRACES[s.ornament])
        ]

        assert sorted(named(engrave(piece, prefix="x"))) == sorted(names)

    @given(sensible_figures(max_bars=1, max_strokes=10))
    @settings(max_examples=15)
    def test_every_notehead_of_any_figure_in_its_place(self, figure: Figure) -> None:
        heads = named(engrave(figure, prefix="x", width=1200))

        assert {n for n in heads if "-g" not in n} == {stroke_id("x", s) for s in figure.strokes}
        assert_in_order(figure, heads)

    @pytest.mark.parametrize("piece", [p for p in PIECES if p.bars == 1], ids=lambda p: p.title)
    def test_heads_stand_in_the_order_in_which_they_sound(self, piece: Figure) -> None:
        assert_in_order(piece, named(engrave(piece, prefix="x", width=900)))

    def test_classes_tell_limb_and_loudness(self) -> None:
        heads = named(engrave(FUNK, prefix="x"))

        assert heads["x-RH-0"].get("class") == "note limb-rh"
        assert heads["x-LH-630"].get("class") == "note limb-lh ghost"
        assert heads["x-LH-840"].get("class") == "note limb-lh accent"
        assert heads["x-RF-0"].get("class") == "note limb-rf"

    def test_grace_strokes_belong_to_the_other_hand(self) -> None:
        assert named(engrave(FLAMS, prefix="x"))["x-RH-0-g1"].get("class") == "note limb-lh grace"

    def test_ghosts_have_brackets_and_others_not(self) -> None:
        heads = named(engrave(FUNK, prefix="x"))

        assert len(heads["x-LH-630"]) == 3
        assert len(heads["x-LH-840"]) == 1

    def test_half_open_is_open_with_a_stroke_through_it(self) -> None:
        def signs(figure: Figure) -> tuple[int, int]:
            artic = tree(engrave(figure, prefix="x")).findall(f".//{SVG}g[@class='artic']")
            return (
                sum(len(a.findall(f"{SVG}use")) for a in artic),
                sum(len(a.findall(f"{SVG}path")) for a in artic),
            )

        opened = Figure.of("4/4", 1, strokes(Limb.RH, Surface.HI_HAT_OPEN, ["0"]))
        half = Figure.of("4/4", 1, strokes(Limb.RH, Surface.HI_HAT_HALF_OPEN, ["0"]))
        assert (signs(opened), signs(half)) == ((1, 0), (1, 1))
        assert signs(OPEN_HATS)[1] == 1

    def test_loudness_alone_moves_nothing(self) -> None:
        plain = Figure.of("4/4", 1, strokes(Limb.LH, Surface.SNARE, ["0", "1", "2", "3"]))
        soft = Figure.of(
            "4/4", 1, strokes(Limb.LH, Surface.SNARE, ["0", "1", "2", "3"], Loudness.SOFT)
        )

        first, second = (
            [place(g) for g in named(engrave(f, prefix="x")).values()] for f in (plain, soft)
        )
        assert first == second


class TestWidth:
    @pytest.mark.parametrize("width", [320, 390, 720, 1200])
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_fits_the_page(self, piece: Figure, width: int) -> None:
        svg = tree(engrave(piece, width=width, counting=True))

        assert float(svg.get("width", "0")) <= width
        _, _, box_width, _ = (float(n) for n in svg.get("viewBox", "").split())
        rights = [place(g)[0] for g in svg.iter(f"{SVG}g") if g.get("id")]
        assert max(rights) < box_width - 200

    def test_gives_a_phone_one_bar_a_line(self) -> None:
        assert lines(engrave(EIGHT_BARS, width=390)) == 8

    def test_gives_a_desk_more(self) -> None:
        assert lines(engrave(EIGHT_BARS, width=800)) == 4
        assert lines(engrave(EIGHT_BARS, width=1800)) == 2

    def test_keeps_the_bars_per_line_that_are_asked_for(self) -> None:
        assert lines(engrave(EIGHT_BARS, width=800, bars_per_line=4)) == 2

    def test_draws_larger_on_a_phone_than_two_bars_shrunk_would_be(self) -> None:
        assert staff_px(engrave(ROCK, width=390)) > 40

    def test_takes_the_staff_height_it_is_given(self) -> None:
        assert staff_px(engrave(ROCK, width=700, staff_px=30)) == pytest.approx(30, abs=0.6)


def lines(svg: str) -> int:
    return len(tree(svg).findall(f".//{SVG}g[@class='system']"))


def staff_px(svg: str) -> float:
    """The height of the first staff in pixels: five lines, 720 units."""
    root = tree(svg)
    _, _, box_width, _ = (float(n) for n in root.get("viewBox", "").split())
    return 720 * float(root.get("width", "0")) / box_width


class TestAccessibleNames:
    def test_has_name_and_description_when_given(self) -> None:
        svg = tree(engrave(ROCK, label="Plain eighths", description="1: bass drum and hi-hat"))

        assert (svg.get("role"), svg.get("aria-label")) == ("img", "Plain eighths")
        assert svg.findtext(f"{SVG}title") == "Plain eighths"
        assert svg.findtext(f"{SVG}desc") == "1: bass drum and hi-hat"

    def test_says_nothing_by_itself(self) -> None:
        svg = tree(engrave(ROCK))

        assert svg.find(f"{SVG}title") is None
        assert svg.find(f"{SVG}desc") is None


class TestRefusals:
    def test_says_when_the_engraver_refuses(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(engraving, "score", lambda *_: b"not music")

        with pytest.raises(EngravingError, match="could not be engraved"):
            engrave(ROCK)

    def test_is_one_of_the_engines_errors(self) -> None:
        assert issubclass(EngravingError, RhythmError)

    def test_draws_a_figure_without_strokes(self) -> None:
        assert named(engrave(Figure.of("4/4", 2, []))) == {}
