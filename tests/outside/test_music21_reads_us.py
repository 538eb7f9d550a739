"""Our MusicXML read by music21 (an independent program), stroke by stroke.

Onset, staff position, notehead, ghost brackets, grace notes, voice and tempo must come back as the
figure has them.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from music21 import converter, note, percussion, stream, tempo

from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Loudness
from exercises.rhythm.surfaces import Head
from tests.exercises.notation.pieces import OPEN_HATS, PIECES, SIX_EIGHT
from tests.strategies import figures

# music21 knows no instrument for some General MIDI keys and says so; we ask it for none.
pytestmark = pytest.mark.filterwarnings(
    "ignore:.*does not map to a valid instrument:music21.musicxml.xmlObjects.MusicXMLWarning"
)

HEADS = {
    Head.NORMAL: "normal",
    Head.CROSS: "x",
    Head.CIRCLE_CROSS: "circle-x",
    Head.DIAMOND: "diamond",
    Head.TRIANGLE: "triangle",
    Head.SLASHED: "slashed",
}
Heard = tuple[Fraction, str, str, bool, bool, str]


def expected(figure: Figure) -> Counter[Heard]:
    """Onset in quarters, place, head, ghost, grace and voice of everything that is written."""
    heard: Counter[Heard] = Counter()
    for stroke in figure.strokes:
        facts = stroke.surface.facts
        onset = stroke.onset * figure.meter.beat_quarters
        place = f"{facts.staff_step}{facts.staff_octave}"
        voice = "1" if stroke.limb.is_hand else "2"
        is_ghost = stroke.loudness is Loudness.GHOST
        heard[onset, place, HEADS[facts.head], is_ghost, False, voice] += 1
        for _ in range(stroke.ornament.graces):
            heard[onset, place, HEADS[facts.head], False, True, voice] += 1
    return heard


def read_back(figure: Figure) -> Counter[Heard]:
    """The same, as music21 reads it."""
    score = converter.parseData(musicxml(figure).decode(), format="musicxml")
    heard: Counter[Heard] = Counter()
    for measure in score.parts[0].getElementsByClass(stream.Measure):
        for voice in measure.voices or [measure]:
            for element in voice.notes:
                _hear(heard, element, measure, str(getattr(voice, "id", "1")))
    return heard


def _hear(heard: Counter[Heard], element: Any, measure: Any, voice: str) -> None:
    members = element.notes if isinstance(element, percussion.PercussionChord) else [element]
    for member in members:
        assert isinstance(member, note.Unpitched)
        onset = Fraction(measure.offset) + Fraction(element.offset)
        head = member.notehead or "normal"
        is_grace = bool(element.duration.isGrace)
        ghost = bool(member.noteheadParenthesis)
        heard[
            onset, f"{member.displayStep}{member.displayOctave}", head, ghost, is_grace, voice
        ] += 1


class TestMusic21ReadsUs:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_every_stroke_comes_back(self, piece: Figure) -> None:
        assert read_back(piece) == expected(piece)

    @given(figures(max_bars=2, max_strokes=12))
    @settings(max_examples=12)
    def test_any_figure_comes_back(self, figure: Figure) -> None:
        assert read_back(figure) == expected(figure)

    def test_a_moved_stroke_would_be_noticed(self) -> None:
        assert read_back(OPEN_HATS) != expected(SIX_EIGHT)

    def test_tempo_counts_the_meters_beat(self) -> None:
        data = musicxml(SIX_EIGHT, bpm=60).decode()

        mark = (
            converter.parseData(data, format="musicxml")
            .recurse()
            .getElementsByClass(tempo.MetronomeMark)[0]
        )

        assert (mark.number, mark.referent.quarterLength) == (60, 1.5)
        assert mark.getQuarterBPM() == 90
