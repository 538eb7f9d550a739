"""Other bars of a file, and the teacher's word on what it means."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import mido
import pytest

from exercises.notation.imported import Hints, Imported, NoSuchBars, SurfaceRule
from exercises.notation.stretches import MOST_OFFERS, exactness, offers, open_file
from exercises.rhythm.figure import Ornament
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.midi_files import drum_file
from tests.exercises.notation.scores import ATTRIBUTES, CONVENTIONS, note, score, two_beats

HAT_AND_BASS = [
    (bar * 1920 + n * 480, key, 90) for bar in range(30) for n, key in enumerate((42, 36, 42, 36))
]


class TestOffers:
    def test_follow_one_another_and_are_at_most_ten(self) -> None:
        take = open_file(drum_file(HAT_AND_BASS), is_midi=True)

        offered = offers(take, first_bar=3, length=2, bars_in_file=30)

        assert [(o.first_bar, o.last_bar) for o in offered] == [
            (3 + 2 * n, 4 + 2 * n) for n in range(MOST_OFFERS)
        ]
        assert all(o.imported and not o.why_not and 0 <= float(o.grade) <= 10 for o in offered)

    def test_end_with_the_file(self) -> None:
        take = open_file(drum_file(HAT_AND_BASS), is_midi=True)

        offered = offers(take, first_bar=28, length=2, bars_in_file=30)

        assert [(o.first_bar, o.last_bar) for o in offered] == [(28, 29), (30, 30)]

    def test_say_why_a_stretch_cannot_be_read(self) -> None:
        silence = [hit for hit in HAT_AND_BASS if not 2 * 1920 <= hit[0] < 4 * 1920]
        take = open_file(drum_file(silence), is_midi=True)

        empty = offers(take, first_bar=3, length=2, bars_in_file=30)[0]

        assert empty.imported is None
        assert "Nothing that a drum set plays" in empty.why_not

    def test_say_how_fast_a_stretch_goes_when_the_file_is_faster(self) -> None:
        fast = [mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(250))]
        doubles = [(n * 120, 36, 90) for n in range(16)]
        take = open_file(drum_file(doubles, before=fast), is_midi=True)

        offer = offers(take, first_bar=1, length=1, bars_in_file=1)[0]

        assert offer.top_bpm is not None
        assert offer.top_bpm < 250

    def test_of_a_file_that_claims_a_thousand_million_bars_are_few(self) -> None:
        take = open_file(drum_file(HAT_AND_BASS), is_midi=True)

        assert len(offers(take, first_bar=1, length=2, bars_in_file=10**9)) == MOST_OFFERS
        with pytest.raises(NoSuchBars, match="there is no bar 999999"):
            take(start_bar=999_999)


class TestExactness:
    def test_of_notes_on_the_grid_is_exact(self) -> None:
        assert exactness(_late(0)) == "exactly on the grid"

    @pytest.mark.parametrize(
        ("bpm", "words"),
        # The mean is about 1/50 of a beat: 5 ms, 12 ms, 30 ms and 60 ms.
        [(250, "very close"), (100, "steady player"), (40, "loosely"), (20, "far")],
    )
    def test_goes_by_milliseconds(self, bpm: float, words: str) -> None:
        assert words in exactness(replace(_late(19), bpm=bpm))

    def test_without_a_tempo_takes_a_middling_one(self) -> None:
        assert "steady player" in exactness(replace(_late(19), bpm=None))


def _late(ticks: int) -> Imported:
    """Quarter notes, every other one late by so many ticks of 480."""
    hits = [(n * 480 + (ticks if n % 2 else 0), 42, 90) for n in range(8)]
    return open_file(drum_file(hits), is_midi=True)()


class TestHints:
    def test_make_a_key_another_surface_or_leave_it_out(self) -> None:
        take = open_file(drum_file([(0, 42, 90), (480, 54, 90), (960, 36, 90)]), is_midi=True)
        meant = {"Tambourine (key 54)": Surface.RIDE, "Bass Drum 1 (key 36)": None}

        before, after = take(), take(hints=Hints(meant))

        assert [s.surface for s in before.figure.strokes] == [Surface.HI_HAT, Surface.BASS_DRUM]
        assert [s.surface for s in after.figure.strokes] == [Surface.HI_HAT, Surface.RIDE]
        assert {(m.said, m.surface, m.rule) for m in after.meanings} == {
            ("Closed Hi Hat (key 42)", Surface.HI_HAT, SurfaceRule.GM_KEY),
            ("Tambourine (key 54)", Surface.RIDE, SurfaceRule.CHOSEN),
            ("Bass Drum 1 (key 36)", None, SurfaceRule.CHOSEN),
        }
        assert "Left out: 1 × Bass Drum 1 (key 36), as you asked." in after.notes

    @pytest.mark.parametrize("convention", CONVENTIONS)
    def test_make_every_convention_of_scores_mean_something_else(self, convention: str) -> None:
        take = open_file(two_beats(convention), is_midi=False)
        before = take()
        hat = next(m for m in before.meanings if m.surface is Surface.HI_HAT)

        after = take(hints=Hints({hat.said: Surface.RIDE}))

        struck = [s.surface for s in before.figure.strokes]
        assert Surface.HI_HAT in struck
        assert [s.surface for s in after.figure.strokes] == [
            Surface.RIDE if surface is Surface.HI_HAT else surface for surface in struck
        ]

    def test_give_meter_and_tempo_only_where_the_file_has_none(self) -> None:
        hints = Hints(meter=Meter(3, 4), bpm=60)
        told = [
            mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(90)),
            mido.MetaMessage("time_signature", numerator=4, denominator=4),
        ]

        silent = open_file(drum_file(HAT_AND_BASS), is_midi=True)(hints=hints)
        saying = open_file(drum_file(HAT_AND_BASS, before=told), is_midi=True)(hints=hints)

        assert (silent.figure.meter, silent.bpm) == (Meter(3, 4), 60)
        assert silent.figure.length_beats == Fraction(6)
        assert not silent.says_meter
        assert not silent.says_tempo
        assert (saying.figure.meter, saying.bpm) == (Meter(4, 4), pytest.approx(90))
        assert saying.says_meter
        assert saying.says_tempo


def test_an_unmeasured_roll_of_another_program_is_a_buzz() -> None:
    roll = "<notations><ornaments><tremolo type='{}'>{}</tremolo></ornaments></notations>"
    notes = note("snare", inside=roll.format("unmeasured", 0), duration=2)
    notes += note("snare", inside=roll.format("single", 3), duration=2)

    found = open_file(score(f"<measure>{ATTRIBUTES}{notes}</measure>"), is_midi=False)()

    assert [s.ornament for s in found.figure.strokes] == [Ornament.BUZZ, Ornament.NONE]
