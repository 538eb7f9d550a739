"""How figures are spelt: values, rests, tuplets and beams."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings

from exercises.notation.beams import Beam
from exercises.notation.events import Event, Voice, written
from exercises.rhythm.figure import Figure
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.pieces import (
    CROSS_RHYTHM,
    FEET_ONLY,
    FUNK,
    PIECES,
    ROCK,
    SEVEN_EIGHT,
    SEXTUPLETS,
    SHUFFLE,
    SIX_EIGHT,
    THIRTY_SECONDS,
    steps,
    strokes,
)
from tests.strategies import any_meters, figures


def hands(meter: str, onsets: list[str], bars: int = 1) -> Voice:
    """The hands' voice of the first bar of a snare line."""
    figure = Figure.of(meter, bars, strokes(Limb.LH, Surface.SNARE, onsets))
    return written(figure)[0].hands


def spelt(voice: Voice) -> str:
    """A voice in shorthand: value, dots, ``r`` for a rest, in brackets when hidden."""
    return " ".join(_spelt(event) for event in voice)


def _spelt(event: Event) -> str:
    if event.whole_bar:
        word = "bar"
    else:
        word = str(Fraction(4) / event.value.plain) + "." * event.value.dots
    word += "r" if event.is_rest else ""
    return f"({word})" if event.is_hidden else word


class TestValues:
    @pytest.mark.parametrize(
        ("onsets", "words"),
        [
            (["0"], "4 4r 2r"),
            (["0", "1/2"], "8 8 4r 2r"),
            (["1/2"], "8r 8 4r 2r"),
            (["1/4"], "16r 8. 4r 2r"),
            (["3/4"], "8.r 16 4r 2r"),
            (["0", "1/4", "3/4"], "16 8 16 4r 2r"),
            (["0", "3/4"], "8. 16 4r 2r"),
            (["0", "1/8"], "32 32 16r 8r 4r 2r"),
            (["3/8"], "16.r 32 8r 4r 2r"),
            (["0", "1/8", "1/4", "1/2"], "32 32 16 8 4r 2r"),
            (["2", "3"], "2r 4 4"),
            (["1", "2"], "4r 4 4 4r"),
        ],
    )
    def test_rings_to_the_next_stroke_in_one_tidy_value(
        self, onsets: list[str], words: str
    ) -> None:
        assert spelt(hands("4/4", onsets)) == words

    def test_never_rings_across_a_beat_group(self) -> None:
        for piece in PIECES:
            for bar in written(piece):
                for event in (*bar.hands, *bar.feet):
                    if event.strokes:
                        assert event.onset + event.length <= _group_end(piece, event.group)

    @pytest.mark.parametrize(
        ("onsets", "words"),
        [
            (["0", "1/3"], "8 4 4.r"),
            (["0", "1/2", "1"], "8. 8. 4."),
            (["0", "1/4", "1/2", "3/4"], "16. 16. 16. 16. 4.r"),
            (["5/6"], "4r 16r 16 4.r"),
        ],
    )
    def test_writes_compound_beats_without_tuplets(self, onsets: list[str], words: str) -> None:
        voice = hands("6/8", onsets)

        assert spelt(voice) == words
        assert not any(event.tuplet for event in voice)


def _group_end(figure: Figure, group: int) -> Fraction:
    return sum(figure.meter.groups[: group + 1], Fraction()) * figure.meter.beat_quarters


class TestTuplets:
    @pytest.mark.parametrize(
        ("onsets", "tuplets", "words"),
        [
            (["0", "1/3", "2/3"], {(3, 2)}, "8 8 8 4r 2r"),
            (["0", "2/3"], {(3, 2)}, "4 8 4r 2r"),
            (["0", "2/3", "5/6"], {(6, 4)}, "4 16 16 4r 2r"),
            (["0", "1/2", "2/3", "5/6"], {(3, 2)}, "8 16 16 16 4r 2r"),
            (steps(6, "1/6"), {(6, 4)}, "16 16 16 16 16 16 4r 2r"),
            (steps(5, "1/5"), {(5, 4)}, "16 16 16 16 16 4r 2r"),
            (steps(7, "1/7"), {(7, 4)}, "16 16 16 16 16 16 16 4r 2r"),
            (steps(12, "1/12"), {(12, 8)}, " ".join(["32"] * 12) + " 4r 2r"),
        ],
    )
    def test_takes_the_plainest_bracket(
        self, onsets: list[str], tuplets: set[tuple[int, int]], words: str
    ) -> None:
        voice = hands("4/4", onsets)

        found = {(e.tuplet.actual, e.tuplet.normal) for e in voice if e.tuplet}
        assert found == tuplets
        assert spelt(voice) == words

    def test_starts_and_stops_each_bracket_once(self) -> None:
        for piece in PIECES:
            for bar in written(piece):
                for voice in (bar.hands, bar.feet):
                    edges = [edge for event in voice for edge in sorted(event.edge)]
                    assert edges == ["start", "stop"] * (len(edges) // 2)

    def test_says_a_tuplet_once_where_both_voices_have_it(self) -> None:
        figure = Figure.of(
            "4/4",
            1,
            strokes(Limb.RH, Surface.RIDE, ["0", "1/3", "2/3"])
            + strokes(Limb.RF, Surface.BASS_DRUM, ["0", "2/3"]),
        )

        bar = written(figure)[0]

        assert all(event.bracket for event in bar.hands if event.tuplet)
        assert not any(event.bracket for event in bar.feet if event.tuplet)

    def test_cuts_an_odd_group_at_its_beat(self) -> None:
        voice = hands("7/8", ["2", "7/3", "8/3", "3"])

        assert spelt(voice) == "4r 4r 8 8 8 8"
        assert [bool(event.tuplet) for event in voice] == [False, False, True, True, True, False]


class TestRests:
    def test_hides_the_silent_voice(self) -> None:
        rock = Figure.of("4/4", 1, strokes(Limb.RH, Surface.HI_HAT, steps(8, "1/2")))

        assert spelt(written(rock)[0].feet) == "(barr)"
        assert spelt(written(FEET_ONLY)[0].hands) == "(barr)"

    def test_shows_one_rest_in_a_bar_where_nobody_plays(self) -> None:
        figure = Figure.of("4/4", 2, strokes(Limb.RH, Surface.HI_HAT, ["0"]))

        bar = written(figure)[1]

        assert (spelt(bar.hands), spelt(bar.feet)) == ("barr", "(barr)")

    def test_hides_foot_rests_that_the_hands_make_plain(self) -> None:
        assert spelt(written(ROCK)[0].feet) == "4 (4r) 8 8 (4r)"

    def test_shows_foot_rests_where_a_foot_falls_between_the_hands(self) -> None:
        assert spelt(written(FUNK)[0].feet) == "8. 16 (4r) (8r) 8 16r 8."

    def test_keeps_the_hands_rests(self) -> None:
        assert spelt(hands("4/4", ["1", "3"])) == "4r 4 4r 4"


class TestBeams:
    def test_beams_beat_by_beat(self) -> None:
        firsts = [event.beams[0] for event in written(ROCK)[0].hands]

        assert firsts == [Beam.BEGIN, Beam.END] * 4

    def test_groups_seven_eight_as_two_two_three(self) -> None:
        firsts = [event.beams[0] for event in written(SEVEN_EIGHT)[0].hands]

        pair = [Beam.BEGIN, Beam.END]
        assert firsts == [*pair, *pair, Beam.BEGIN, Beam.CONTINUE, Beam.END]

    def test_groups_six_eight_in_threes(self) -> None:
        firsts = [e.beams[0] for e in written(SIX_EIGHT)[0].hands]

        assert [beam for beam in firsts if beam is not Beam.CONTINUE] == [Beam.BEGIN, Beam.END] * 2

    def test_breaks_inner_beams_of_thirty_seconds_at_the_half_beat(self) -> None:
        run = [e for e in written(THIRTY_SECONDS)[0].hands if e.group == 2]

        quarter = [Beam.BEGIN, Beam.CONTINUE, Beam.CONTINUE, Beam.END]
        assert [e.beams[1] for e in run] == quarter * 2
        assert [e.beams[0] for e in run] == [Beam.BEGIN, *[Beam.CONTINUE] * 6, Beam.END]

    def test_hooks_a_lone_sixteenth_to_its_dotted_neighbour(self) -> None:
        dotted, sixteenth = hands("4/4", ["0", "3/4"])[:2]

        assert (dotted.beams, sixteenth.beams) == (
            (Beam.BEGIN,),
            (Beam.END, Beam.BACKWARD_HOOK),
        )

    def test_leaves_a_note_alone_on_its_flag(self) -> None:
        assert hands("4/4", ["1/2"])[1].beams == ()

    def test_runs_through_a_sextuplet(self) -> None:
        seconds = [e.beams[1] for e in written(SEXTUPLETS)[0].hands[:6]]

        assert seconds == [Beam.BEGIN, *[Beam.CONTINUE] * 4, Beam.END]


class TestInvariants:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_holds_for_the_pieces(self, piece: Figure) -> None:
        check_spelling(piece)

    @given(figures(meters=any_meters()))
    @settings(max_examples=60)
    def test_holds_for_any_figure(self, figure: Figure) -> None:
        check_spelling(figure)

    def test_holds_for_the_worst_beat(self) -> None:
        onsets = [*steps(8, "1/8"), *steps(2, "1/3", "1/3"), *steps(6, "1/7", "1/7")]
        figure = Figure.of("4/4", 1, strokes(Limb.RH, Surface.SNARE, onsets))

        check_spelling(figure)


def check_spelling(figure: Figure) -> None:
    """Every stroke once, every bar full, every written length true to its sounding one."""
    bar_length = figure.meter.bar_beats * figure.meter.beat_quarters
    found = []
    for index, bar in enumerate(written(figure)):
        for voice in (bar.hands, bar.feet):
            at = Fraction(0)
            for event in voice:
                assert event.onset == at
                at += event.length
                if not event.whole_bar:
                    stretch = event.tuplet.stretch if event.tuplet else 1
                    assert event.value.length == event.length * stretch
                for stroke in event.strokes:
                    place = stroke.onset * figure.meter.beat_quarters - index * bar_length
                    assert place == event.onset
                    found.append(stroke)
            assert at == bar_length
    assert sorted(found, key=str) == sorted(figure.strokes, key=str)


def test_cross_rhythm_is_bracketed_beat_by_beat() -> None:
    brackets = [e.tuplet.actual for e in written(CROSS_RHYTHM)[0].hands if "start" in e.edge]

    assert brackets == [12, 6, 12]


def test_a_lone_last_triplet_under_the_ride_needs_no_rests() -> None:
    assert spelt(written(SHUFFLE)[0].feet) == "4 4 8 4 4"
