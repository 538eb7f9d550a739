"""MusicXML: ids, options and the things that a schema cannot see."""

from __future__ import annotations

from fractions import Fraction

import pytest
from lxml import etree

from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.limbs import Limb
from exercises.rhythm.record import default_prefix, stroke_id
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.pieces import (
    EIGHT_BARS,
    FLAMS,
    FUNK,
    OPEN_HATS,
    PIECES,
    ROCK,
    SEXTUPLETS,
    SHUFFLE,
    steps,
    strokes,
)


def tree(figure: Figure, **options: object) -> etree._Element:
    return etree.fromstring(musicxml(figure, **options))  # type: ignore[arg-type]


def note(root: etree._Element, name: str) -> etree._Element:
    found = root.find(f".//note[@id='{name}']")
    assert found is not None, name
    return found


def lyrics(root: etree._Element, row: int) -> list[str]:
    return [lyric.findtext("text", "") for lyric in root.findall(f".//lyric[@number='{row}']")]


class TestNotes:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_names_every_stroke_once(self, piece: Figure) -> None:
        names = [
            n.get("id") for n in tree(piece).findall(".//note[@id]") if "-g" not in n.get("id")
        ]

        prefix = default_prefix(piece)
        assert sorted(names) == sorted(stroke_id(prefix, s) for s in piece.strokes)

    def test_takes_the_prefix_of_the_page(self) -> None:
        assert note(tree(ROCK, prefix="left"), "left-RH-0") is not None

    def test_leads_flams_and_drags_in(self) -> None:
        root = tree(FLAMS, prefix="x")
        notes = root.findall(".//note")
        names = [n.get("id") for n in notes]

        flam, drag = names.index("x-RH-0"), names.index("x-LH-840")
        assert names[flam - 1 : flam] == ["x-RH-0-g1"]
        assert names[drag - 2 : drag] == ["x-LH-840-g1", "x-LH-840-g2"]
        assert notes[flam - 1].find("grace").get("slash") == "yes"
        assert notes[drag - 1].find("grace").get("slash") == "no"

    def test_stems_hands_up_and_feet_down(self) -> None:
        root = tree(SEXTUPLETS, prefix="x")

        for stroke in SEXTUPLETS.strokes:
            stem = note(root, stroke_id("x", stroke)).findtext("stem")
            assert stem == ("up" if stroke.limb.is_hand else "down")

    def test_puts_ghosts_in_brackets_even_inside_a_chord(self) -> None:
        figure = Figure.of(
            "4/4",
            1,
            strokes(Limb.RH, Surface.RIDE, ["0"])
            + strokes(Limb.LH, Surface.SNARE, ["0"], Loudness.GHOST),
        )

        root = tree(figure, prefix="x")

        assert note(root, "x-LH-0").find("notehead").get("parentheses") == "yes"
        assert note(root, "x-RH-0").find("notehead").get("parentheses") is None

    def test_gives_loudness_to_players(self) -> None:
        root = tree(FUNK, prefix="x")

        ghost, accent = note(root, "x-LH-630"), note(root, "x-LH-840")
        assert int(ghost.get("dynamics")) < 100 < int(accent.get("dynamics"))

    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_fills_every_bar_in_both_voices(self, piece: Figure) -> None:
        root = tree(piece)
        divisions = int(root.findtext(".//divisions", "0"))
        bar = piece.meter.bar_beats * piece.meter.beat_quarters

        for measure in root.iter("measure"):
            for voice in ("1", "2"):
                durations = [
                    int(n.findtext("duration", "0"))
                    for n in measure.findall("note")
                    if n.findtext("voice") == voice and n.find("chord") is None
                ]
                assert Fraction(sum(durations), divisions) == bar

    def test_same_figure_same_bytes(self) -> None:
        again = Figure.of(FUNK.meter, FUNK.bars, reversed(FUNK.strokes), title=FUNK.title)

        assert musicxml(again) == musicxml(FUNK)


class TestInstruments:
    def test_numbers_general_midi_keys_from_one(self) -> None:
        root = tree(ROCK)

        keys = {
            sound.get("id"): sound.findtext("midi-unpitched")
            for sound in root.findall(".//midi-instrument")
        }
        assert keys == {"P1-bass_drum": "37", "P1-snare": "39", "P1-hi_hat": "43"}
        assert {s.findtext("midi-channel") for s in root.findall(".//midi-instrument")} == {"10"}

    def test_every_note_names_its_instrument(self) -> None:
        root = tree(SHUFFLE, prefix="x")

        for stroke in SHUFFLE.strokes:
            instrument = note(root, stroke_id("x", stroke)).find("instrument")
            assert instrument.get("id") == f"P1-{stroke.surface.value}"


class TestMarks:
    def test_open_half_open_and_the_closing_stroke(self) -> None:
        root = tree(OPEN_HATS, prefix="x")

        def marks(tick: int) -> list[str]:
            technical = note(root, f"x-RH-{tick}").find("notations/technical")
            return [] if technical is None else [mark.tag for mark in technical]

        assert marks(420) == ["open-string"]
        assert marks(840) == ["stopped"]
        assert marks(1260) == []
        assert marks(2100) == ["half-muted"]
        assert marks(2520) == ["stopped"]

    def test_a_foot_that_closes_the_hi_hat_makes_the_sign_needless(self) -> None:
        figure = Figure.of(
            "4/4",
            1,
            strokes(Limb.RH, Surface.HI_HAT_OPEN, ["0"])
            + strokes(Limb.RH, Surface.HI_HAT, ["2"])
            + strokes(Limb.LF, Surface.HI_HAT_FOOT, ["1"]),
        )

        assert tree(figure).find(".//stopped") is None

    def test_accents_stand_above_hands_and_below_feet(self) -> None:
        figure = Figure.of(
            "4/4",
            1,
            strokes(Limb.RH, Surface.SNARE, ["0"], Loudness.ACCENT)
            + strokes(Limb.RF, Surface.BASS_DRUM, ["1"], Loudness.ACCENT),
        )

        root = tree(figure, prefix="x")

        accents = [
            note(root, f"x-{n}").find(".//accent").get("placement") for n in ("RH-0", "RF-840")
        ]
        assert accents == ["above", "below"]


class TestWords:
    def test_sticking_on_one_row_while_hands_alternate(self) -> None:
        assert lyrics(tree(FLAMS, sticking=True), 1) == [
            *("R", "R", "L", "R", "L", "R", "R", "L", "L"),
        ]

    def test_sticking_on_two_rows_where_hands_meet(self) -> None:
        root = tree(ROCK, sticking=True)

        assert (lyrics(root, 1), lyrics(root, 2)) == (["R"] * 8, ["L"] * 2)

    def test_sticking_changes_sides_in_the_left_handed_view(self) -> None:
        root = tree(ROCK, sticking=True, left_handed_view=True)

        assert (lyrics(root, 1), lyrics(root, 2)) == (["L"] * 8, ["R"] * 2)

    def test_counts_where_anything_is_struck(self) -> None:
        assert " ".join(lyrics(tree(FUNK, counting=True), 1)) == "1 & a 2 & a 3 e & 4 & a e"

    def test_counts_thirds_as_thirds_under_sextuplets(self) -> None:
        assert lyrics(tree(SEXTUPLETS, counting=True), 1)[:4] == ["1", "trip", "let", "2"]

    def test_counting_stands_under_the_sticking(self) -> None:
        root = tree(ROCK, sticking=True, counting=True)

        assert lyrics(root, 3)[:3] == ["1", "&", "2"]

    def test_nothing_unless_asked(self) -> None:
        assert tree(FUNK).find(".//lyric") is None
        assert tree(FUNK).find(".//metronome") is None


class TestBarsAndRepeats:
    def test_starts_a_line_after_so_many_bars(self) -> None:
        root = tree(EIGHT_BARS, bars_per_line=4)

        starts = [m.get("number") for m in root.iter("measure") if m.find("print") is not None]
        assert starts == ["5"]

    def test_repeats_at_will(self) -> None:
        assert tree(ROCK).find(".//repeat[@direction='backward']") is not None
        assert tree(ROCK, is_repeated=False).find(".//repeat") is None

    def test_grace_note_counts(self) -> None:
        figure = Figure.of(
            "2/4", 1, strokes(Limb.RH, Surface.SNARE, steps(4, "1/2"), ornament=Ornament.DRAG)
        )

        assert len(tree(figure).findall(".//grace")) == 8
