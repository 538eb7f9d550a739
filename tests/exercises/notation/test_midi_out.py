"""MIDI files that we write, read by mido and by pretty_midi, two libraries we did not write."""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO

import mido
import pretty_midi
import pytest
from hypothesis import assume, given, settings

from exercises.notation.midi_in import read_midi
from exercises.notation.midi_out import TICKS_PER_QUARTER, midi
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import KITS
from exercises.rhythm.library import LIBRARY, LibraryFigure
from exercises.rhythm.typed import read_typed
from tests.exercises.notation.midi_files import notes_of, strokes_of
from tests.strategies import figures, tempos

BACKBEAT = read_typed("4/4 Backbeat\nRH: xx xx xx xx\nLH: . X . X\nRF: x . x .\n")


class TestMidi:
    @given(figures(), tempos())
    @settings(max_examples=20)
    def test_reads_back_to_the_same_figure(self, figure: Figure, bpm: int) -> None:
        assume(len(figure))
        back = read_midi(midi(figure, bpm=bpm, rounds=2, count_in=True))

        assert back.figure == figure
        assert back.figure.title == figure.title
        assert back.bpm == pytest.approx(bpm, abs=0.01)
        assert back.notes == () or all("nobody can play" in note for note in back.notes)
        assert back.worst_error_beats == 0

    @pytest.mark.parametrize("core", LIBRARY, ids=lambda core: core.slug)
    def test_reads_back_every_library_figure(self, core: LibraryFigure) -> None:
        back = read_midi(midi(core.figure, bpm=core.bpm), kit=KITS[core.kit_key])

        assert back.figure == core.figure
        assert back.notes == ()

    @given(figures(), tempos())
    @settings(max_examples=20)
    def test_has_every_stroke_at_its_tick_with_its_key(self, figure: Figure, bpm: int) -> None:
        quarters = figure.meter.beat_quarters
        expected = sorted(
            (s.onset * quarters * TICKS_PER_QUARTER, s.surface.facts.gm_key) for s in figure.strokes
        )

        assert sorted((tick, key) for tick, key, _, _ in strokes_of(midi(figure, bpm=bpm))) == (
            expected
        )

    def test_is_heard_alike_by_another_library(self) -> None:
        heard = pretty_midi.PrettyMIDI(BytesIO(midi(BACKBEAT, bpm=120, rounds=2)))
        drums = heard.instruments[0]

        assert drums.is_drum
        assert heard.get_tempo_changes()[1].tolist() == [120.0]
        onsets = sorted(note.start for note in drums.notes if note.pitch == 38)
        assert onsets == pytest.approx([0.5, 1.5, 2.5, 3.5])
        assert len(drums.notes) == 2 * len(BACKBEAT)

    def test_says_tempo_and_meter_in_quarters_and_clicks_per_beat(self) -> None:
        figure = read_typed("6/8\nRH: xxx xxx\n")
        file = mido.MidiFile(file=BytesIO(midi(figure, bpm=60)))
        events = {message.type: message for message in file.tracks[0]}

        # A dotted quarter at 60 is a quarter at 90: two thirds of a second.
        assert events["set_tempo"].tempo == 666_667
        assert (events["time_signature"].numerator, events["time_signature"].denominator) == (6, 8)
        assert events["time_signature"].clocks_per_click == 36

    def test_makes_louder_strokes_faster(self) -> None:
        figure = read_typed("4/4\nLH: g s x X\n")
        velocities = [velocity for _, _, velocity, _ in strokes_of(midi(figure, bpm=90))]

        assert velocities == sorted(set(velocities))
        assert len(velocities) == 4

    @pytest.mark.parametrize("bpm", [50, 120, 240])
    def test_leads_a_flam_by_thirty_milliseconds_at_any_tempo(self, bpm: int) -> None:
        notes = notes_of(midi(read_typed("2/4\nLH: . f\n"), bpm=bpm))

        assert len(notes) == 2
        ms = (notes[1][0] - notes[0][0]) / TICKS_PER_QUARTER * 60_000 / bpm
        assert ms == pytest.approx(30, abs=0.2)
        assert notes[0][2] < notes[1][2]

    def test_leads_a_drag_with_two_strokes_and_leaves_out_what_comes_before_the_start(self) -> None:
        assert len(notes_of(midi(read_typed("2/4\nLH: . d\n"), bpm=90))) == 3
        assert len(notes_of(midi(read_typed("2/4\nLH: d .\n"), bpm=90))) == 1
        assert len(notes_of(midi(read_typed("2/4\nLH: d .\n"), bpm=90, count_in=True))) == 2 + 3

    def test_counts_in_on_the_beat_groups(self) -> None:
        figure = read_typed("7/8\nRH: x . .\n")
        notes = notes_of(midi(figure, bpm=100, count_in=True))

        assert [Fraction(tick, TICKS_PER_QUARTER) for tick, *_ in notes] == [
            *(Fraction(0), Fraction(1), Fraction(2)),
            Fraction(7, 2),
        ]

    def test_ends_where_the_last_round_ends(self) -> None:
        file = mido.MidiFile(file=BytesIO(midi(read_typed("3/4\nRH: x . .\n"), bpm=60, rounds=4)))

        assert sum(message.time for message in file.tracks[1]) == 4 * 3 * TICKS_PER_QUARTER

    def test_never_starts_a_key_again_before_it_ended(self) -> None:
        figure = read_typed("1/4\nRH snare: xxxxxxxx\nLH snare: .x......\n")
        sounding: dict[int, int] = {}
        for message in mido.MidiFile(file=BytesIO(midi(figure, bpm=90, rounds=2))).tracks[1]:
            if message.type in ("note_on", "note_off"):
                step = 1 if message.type == "note_on" else -1
                if message.type == "note_on" and message.time:
                    assert sounding.get(message.note, 0) == 0
                sounding[message.note] = sounding.get(message.note, 0) + step
        assert set(sounding.values()) == {0}

    @pytest.mark.parametrize("bpm", [0, -1, 9, 501, float("nan"), float("inf")])
    def test_refuses_a_tempo_nobody_plays(self, bpm: float) -> None:
        with pytest.raises(RhythmError, match="10 to 500"):
            midi(BACKBEAT, bpm=bpm)

    @pytest.mark.parametrize("rounds", [0, 65])
    def test_refuses_rounds_out_of_range(self, rounds: int) -> None:
        with pytest.raises(RhythmError, match="1 to 64"):
            midi(BACKBEAT, bpm=90, rounds=rounds)
