"""Single notes of foreign scores: marks, loudness, odd keys, and what is said of the rest."""

from __future__ import annotations

import pytest

from exercises.notation.imported import ImportRefused, SurfaceRule
from exercises.notation.musicxml_in import read_musicxml
from exercises.rhythm.figure import Loudness
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.scores import ATTRIBUTES, note, part_head, score


def bar(*notes: str, head: str | None = None) -> bytes:
    return score(f"<measure>{ATTRIBUTES}{''.join(notes)}</measure>", head=head)


def technical(mark: str) -> str:
    return f"<notations><technical><{mark}/></technical></notations>"


def head_with_key(key: int, name: str = "Strange") -> str:
    """The part's instruments, the hi-hat's being another key (from 0) under another name."""
    text = part_head().replace("<midi-unpitched>43<", f"<midi-unpitched>{key + 1}<")
    return text.replace("Closed Hi-Hat", name)


class TestMarks:
    def test_half_muted_is_a_half_open_hi_hat(self) -> None:
        back = read_musicxml(bar(note("hat", inside=technical("half-muted"))))

        assert back.figure.strokes[0].surface is Surface.HI_HAT_HALF_OPEN

    def test_open_over_the_foot_is_a_splash(self) -> None:
        back = read_musicxml(
            bar(note("hat", inside=technical("open-string")), head=head_with_key(44))
        )

        assert back.figure.strokes[0].surface is Surface.HI_HAT_SPLASH

    def test_a_roll_is_one_stroke_and_said(self) -> None:
        roll = "<notations><ornaments><tremolo>3</tremolo></ornaments></notations>"
        back = read_musicxml(bar(note("snare", inside=roll)))

        assert len(back.figure) == 1
        assert any("Rolls are not played out: 1 ×" in said for said in back.notes)


class TestLoudness:
    @pytest.mark.parametrize(
        ("dynamics", "loudness"),
        [
            ("40", Loudness.SOFT),
            ("90.5", Loudness.NORMAL),
            ("140", Loudness.ACCENT),
            ("loud", Loudness.NORMAL),
        ],
    )
    def test_follows_dynamics_in_percent_of_forte(self, dynamics: str, loudness: Loudness) -> None:
        struck = note("snare").replace("<note>", f'<note dynamics="{dynamics}">')

        assert read_musicxml(bar(struck)).figure.strokes[0].loudness is loudness

    def test_an_accent_on_a_chord_is_for_all_of_it(self) -> None:
        back = read_musicxml(bar(note("hat", accent=True), note("snare", chord=True)))

        assert {stroke.loudness for stroke in back.figure.strokes} == {Loudness.ACCENT}


class TestKeys:
    def test_a_makers_key_is_read_and_named_as_such(self) -> None:
        back = read_musicxml(bar(note("hat"), head=head_with_key(26)))

        assert back.figure.strokes[0].surface is Surface.HI_HAT_OPEN
        assert back.sources[0].surface_rule is SurfaceRule.MAKER_KEY

    def test_a_key_without_a_surface_falls_back_on_the_instruments_name(self) -> None:
        back = read_musicxml(bar(note("hat"), head=head_with_key(80, "Ride cymbal")))

        assert back.figure.strokes[0].surface is Surface.RIDE
        assert back.sources[0].surface_rule is SurfaceRule.INSTRUMENT_NAME

    def test_a_lone_instrument_need_not_be_named_by_its_notes(self) -> None:
        head = (
            '<score-part id="P1"><part-name>Kit</part-name><score-instrument id="a">'
            "<instrument-name>x</instrument-name></score-instrument>"
            '<midi-instrument id="a"><midi-unpitched>54</midi-unpitched></midi-instrument>'
            "</score-part>"
        )
        back = read_musicxml(bar(note("snare", "place_only"), head=head))

        assert back.figure.strokes[0].surface is Surface.RIDE_BELL

    def test_a_pitch_that_is_no_drum_is_refused_by_its_key(self) -> None:
        strange = note("hat", "pitched").replace("<octave>2<", "<octave>9<")

        with pytest.raises(ImportRefused, match="1 × key 126,"):
            read_musicxml(bar(strange, head=part_head("pitched")))

    def test_a_part_that_is_not_there_is_refused(self) -> None:
        with pytest.raises(ImportRefused, match="no part called"):
            read_musicxml(bar(note("hat")), part="P9")

    @pytest.mark.parametrize(("start_bar", "bars"), [(0, 1), (2, 1), (1, 0), (1, 9)])
    def test_bars_that_are_not_there_are_refused(self, start_bar: int, bars: int) -> None:
        with pytest.raises(ImportRefused, match="bars"):
            read_musicxml(bar(note("hat")), start_bar=start_bar, bars=bars)
