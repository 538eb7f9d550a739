"""MIDI drum parts of other programs: what is taken, how it is put on a grid, what is said."""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO

import mido
import music21
import pretty_midi
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.notation.imported import ImportRefused, LimbRule, SurfaceRule
from exercises.notation.midi_in import read_midi
from exercises.notation.midi_out import midi
from exercises.rhythm.figure import Loudness, Ornament
from exercises.rhythm.kit import FIVE_PIECE, FIVE_PIECE_TWO_PEDALS
from exercises.rhythm.limbs import Limb
from exercises.rhythm.playability import refusal
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed, write_typed
from tests.exercises.notation.midi_files import drum_file, saved, without_texts

BASS, SNARE, HAT, OPEN_HAT, HAT_FOOT, CRASH = 36, 38, 42, 46, 44, 49


def meter(count: int, unit: int, time: int = 0) -> mido.MetaMessage:
    return mido.MetaMessage("time_signature", numerator=count, denominator=unit, time=time)


def tempo(bpm: float) -> mido.MetaMessage:
    return mido.MetaMessage("set_tempo", tempo=round(60_000_000 / bpm))


class TestOtherPrograms:
    def test_reads_what_pretty_midi_writes(self) -> None:
        song = pretty_midi.PrettyMIDI(initial_tempo=100)
        drums = pretty_midi.Instrument(0, is_drum=True)
        for step in range(8):
            start = step * 0.3
            drums.notes.append(pretty_midi.Note(80, HAT, start, start + 0.05))
            key = (BASS, SNARE)[step // 2 % 2]
            if step % 2 == 0:
                drums.notes.append(pretty_midi.Note(110, key, start, start + 0.05))
        song.instruments.append(drums)
        out = BytesIO()
        song.write(out)

        back = read_midi(out.getvalue())

        assert back.figure == read_typed("4/4\nRH: xx xx xx xx\nLH: . X . X\nRF: X . X .\n")
        assert back.bpm == 100
        assert (back.first_bar, back.bars_in_file) == (1, 1)
        assert back.notes == ()

    def test_reads_what_music21_writes(self) -> None:
        part = music21.stream.Part()
        part.append(music21.meter.TimeSignature("3/4"))
        for length in (1, 0.5, 0.5, 1):
            note = music21.note.Unpitched(quarterLength=length)
            note.storedInstrument = music21.instrument.SnareDrum()
            part.append(note)
        part.insert(0, music21.instrument.SnareDrum())
        data = music21.midi.translate.music21ObjectToMidiFile(part).writestr()

        back = read_midi(data)

        assert [s.onset for s in back.figure.strokes] == [0, 1, Fraction(3, 2), 2]
        assert {s.surface for s in back.figure.strokes} == {Surface.SNARE}
        assert str(back.figure.meter) == "3/4"

    def test_guesses_limbs_when_another_program_dropped_our_texts(self) -> None:
        figure = read_typed(
            "4/4\nRH: x.x. x.x. x.x. x.x.\nLH: .... X..g .... X..f\nRF: x... ..x. x... ....\n"
        )

        back = read_midi(without_texts(midi(figure, bpm=80, count_in=True)), start_bar=2, bars=1)

        assert back.figure == figure
        assert {source.limb_rule for source in back.sources} == {LimbRule.HANDS, LimbRule.PEDAL}
        assert {source.surface_rule for source in back.sources} == {SurfaceRule.GM_KEY}

    def test_says_so_when_notes_and_our_texts_no_longer_agree(self) -> None:
        file = mido.MidiFile(file=BytesIO(midi(read_typed("1/4\nRH: xx\n"), bpm=90)))
        for message in file.tracks[1]:
            if message.type in ("note_on", "note_off"):
                message.note = SNARE
        data = saved(file.tracks, ticks_per_beat=file.ticks_per_beat, kind=1)

        back = read_midi(data)

        assert {stroke.surface for stroke in back.figure.strokes} == {Surface.SNARE}
        assert any("changed by another program" in note for note in back.notes)


class TestStretch:
    HITS = [(4 * 480 * bar + 480 * beat, SNARE, 90) for bar in range(4, 12) for beat in range(4)]

    def test_takes_two_bars_from_the_first_that_sounds(self) -> None:
        back = read_midi(drum_file(self.HITS))

        assert (back.first_bar, back.figure.bars, back.bars_in_file) == (5, 2, 12)

    def test_takes_the_bars_it_is_asked_for(self) -> None:
        back = read_midi(drum_file([*self.HITS, (4 * 480 * 9, CRASH, 90)]), start_bar=10, bars=3)

        assert (back.first_bar, back.figure.bars) == (10, 3)
        assert Surface.CRASH in {s.surface for s in back.figure.strokes if s.onset == 0}

    def test_takes_a_stroke_just_before_the_bar_line_as_its_first(self) -> None:
        back = read_midi(drum_file([(4 * 480 - 15, BASS, 90), (5 * 480, SNARE, 90)]))

        assert back.first_bar == 2
        assert [s.onset for s in back.figure.strokes] == [0, 1]

    def test_stops_where_the_meter_changes(self) -> None:
        track = mido.MidiTrack([meter(3, 4)])
        for number in range(8):
            if number == 3:
                track.append(meter(4, 4))
            track.append(mido.Message("note_on", channel=9, note=SNARE, velocity=90, time=0))
            track.append(mido.Message("note_off", channel=9, note=SNARE, time=480))

        first = read_midi(saved([track]), bars=8)
        second = read_midi(saved([track]), start_bar=2, bars=8)

        assert (str(first.figure.meter), first.figure.bars) == ("3/4", 1)
        assert (str(second.figure.meter), second.first_bar) == ("4/4", 2)

    @pytest.mark.parametrize(("start_bar", "bars"), [(0, 1), (-3, 1), (13, 1), (1, 0), (1, 9)])
    def test_refuses_bars_that_are_not_there(self, start_bar: int, bars: int) -> None:
        with pytest.raises(ImportRefused, match=r"(?i)bar"):
            read_midi(drum_file(self.HITS), start_bar=start_bar, bars=bars)

    def test_counts_a_thousand_million_bars_at_once(self) -> None:
        far = 2**28 - 1
        track = mido.MidiTrack([meter(1, 16)])
        track.append(mido.Message("note_on", channel=9, note=SNARE, velocity=90))
        for _ in range(4):
            track.append(mido.Message("note_off", channel=9, note=SNARE, time=far))
        track.append(mido.Message("note_on", channel=9, note=SNARE, velocity=90, time=0))

        back = read_midi(saved([track], ticks_per_beat=4))

        assert back.bars_in_file == 4 * far + 1
        assert len(back.figure) == 1

    def test_reads_the_tempo_of_the_meters_beat(self) -> None:
        back = read_midi(drum_file([(0, BASS, 90)], before=[meter(6, 8), tempo(90)]))

        assert back.bpm == pytest.approx(60, abs=0.01)

    def test_leaves_out_a_tempo_nobody_plays(self) -> None:
        track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=1)])
        track.append(mido.Message("note_on", channel=9, note=SNARE, velocity=90))

        back = read_midi(saved([track]))

        assert back.bpm is None
        assert back.worst_error_ms is None
        assert any("tempo" in note for note in back.notes)

    def test_takes_a_lone_channel_that_says_it_is_drums(self) -> None:
        back = read_midi(drum_file([(0, SNARE, 90)], channel=0, track_name="My Drums"))

        assert len(back.figure) == 1
        assert any("channel 1" in note for note in back.notes)


class TestGrid:
    def test_reports_how_far_strokes_were_moved(self) -> None:
        hits = [(0, SNARE, 90), (480 + 24, SNARE, 90), (960 - 12, SNARE, 90), (1440, SNARE, 90)]
        back = read_midi(drum_file(hits, before=[tempo(100)]))

        assert [s.onset for s in back.figure.strokes] == [0, 1, 2, 3]
        assert back.worst_error_beats == pytest.approx(24 / 480)
        assert back.worst_error_ms == pytest.approx(24 / 480 * 600, abs=0.01)
        assert back.mean_error_beats == pytest.approx(36 / 480 / 4)
        assert [round(source.error_beats * 480) for source in back.sources] == [0, -24, 12, 0]

    @given(st.data())
    @settings(max_examples=40)
    def test_finds_the_grid_under_a_drummers_spread(self, data: st.DataObject) -> None:
        grids = data.draw(
            st.lists(st.sampled_from(["x.x.", "xxxx", "xxx", "x", "xx"]), min_size=4, max_size=4)
        )
        figure = read_typed("4/4\nRH ride: " + " ".join(grids))
        hits = [
            (max(0, round(s.onset * 480) + data.draw(st.integers(-12, 12))), 51, 90)
            for s in figure.strokes
        ]
        hits[0] = (1, 51, 90)

        back = read_midi(drum_file(hits, before=[tempo(80)]))

        assert [s.onset for s in back.figure.strokes] == [s.onset for s in figure.strokes]
        assert back.worst_error_beats <= 12 / 480 + 1e-9

    def test_keeps_fives_and_sevens_that_a_program_wrote(self) -> None:
        figure = read_typed("2/4\nLH: xxxxx xxxxxxx\n")
        hits = [(int(s.onset * 420), SNARE, 90) for s in figure.strokes]

        back = read_midi(drum_file(hits, ticks_per_beat=420, before=[meter(2, 4)]))

        assert [s.onset for s in back.figure.strokes] == [s.onset for s in figure.strokes]

    def test_reads_a_soft_note_right_before_a_loud_one_as_a_flam(self) -> None:
        flam = [(480 - 20, SNARE, 30), (480, SNARE, 90)]
        drag = [(960 - 45, SNARE, 30), (960 - 20, SNARE, 32), (960, SNARE, 90)]
        back = read_midi(drum_file([(3, SNARE, 90), *flam, *drag], before=[tempo(120)]))

        assert [s.ornament for s in back.figure.strokes] == [
            *(Ornament.NONE, Ornament.FLAM, Ornament.DRAG)
        ]

    def test_takes_two_even_notes_at_once_as_one(self) -> None:
        back = read_midi(drum_file([(3, SNARE, 90), (6, 40, 100), (480, SNARE, 90)]))

        assert [s.onset for s in back.figure.strokes] == [0, 1]
        assert back.figure.strokes[0].surface is Surface.RIM_SHOT
        assert any("softer of two notes" in note for note in back.notes)

    @pytest.mark.parametrize(
        ("key", "velocity", "loudness"),
        [
            *((SNARE, 20, Loudness.GHOST), (SNARE, 50, Loudness.SOFT)),
            *((SNARE, 80, Loudness.NORMAL), (SNARE, 120, Loudness.ACCENT)),
            *((HAT, 20, Loudness.SOFT), (BASS, 20, Loudness.SOFT)),
        ],
    )
    def test_ghosts_drums_but_not_cymbals_and_feet(
        self, key: int, velocity: int, loudness: Loudness
    ) -> None:
        back = read_midi(drum_file([(0, key, velocity)]))

        assert back.figure.strokes[0].loudness is loudness


class TestLimbs:
    def limbs(self, *hits: tuple[int, int, int], bpm: float = 100) -> str:
        figure = read_midi(drum_file(hits, before=[tempo(bpm)]), bars=1).figure
        return " ".join(stroke.limb for stroke in figure.strokes)

    def test_plays_pedals_with_their_feet(self) -> None:
        assert self.limbs((0, BASS, 90), (480, HAT_FOOT, 90), (960, 35, 90)) == "RF LF RF"

    def test_keeps_time_on_the_hi_hat_with_the_strong_hand_and_the_snare_with_the_weak(
        self,
    ) -> None:
        hits = [(240 * k, HAT, 80) for k in range(8)] + [(480, SNARE, 90), (1440, SNARE, 90)]
        figure = read_midi(drum_file(hits, before=[tempo(100)])).figure

        assert {s.limb for s in figure.strokes if s.surface is Surface.HI_HAT} == {Limb.RH}
        assert {s.limb for s in figure.strokes if s.surface is Surface.SNARE} == {Limb.LH}

    def test_mirrors_a_left_handed_kit(self) -> None:
        hits = [(240 * k, HAT, 80) for k in range(8)] + [(480, SNARE, 90), (0, BASS, 90)]
        right = read_midi(drum_file(hits)).figure
        left = read_midi(drum_file(hits), kit=FIVE_PIECE.mirrored()).figure

        assert {(s.onset, s.surface, s.limb.other_side) for s in right.strokes} == {
            (s.onset, s.surface, s.limb) for s in left.strokes
        }

    def test_alternates_when_one_hand_would_be_too_fast(self) -> None:
        hits = [(120 * k, SNARE, 80) for k in range(16)]

        assert self.limbs(*hits, bpm=140) in ("RH LH " * 8).strip(), "sixteenths at 140"
        assert set(self.limbs(*hits[::4], bpm=140).split()) == {"LH"}

    def test_leaves_out_a_third_hand_and_says_where(self) -> None:
        back = read_midi(drum_file([(480, CRASH, 100), (480, SNARE, 90), (480, 43, 60)]))

        assert {s.surface for s in back.figure.strokes} == {Surface.CRASH, Surface.SNARE}
        assert "Left out: a third stroke for two hands (beat 2)." in back.notes[0].replace(
            "bar 1, ", ""
        )

    def test_does_not_shut_a_hi_hat_that_is_struck_open(self) -> None:
        back = read_midi(drum_file([(0, OPEN_HAT, 90), (0, HAT_FOOT, 90)]))

        assert [s.surface for s in back.figure.strokes] == [Surface.HI_HAT_OPEN]
        assert any("hi-hat struck open" in note for note in back.notes)

    def test_exchanges_what_the_kit_has_not_got(self) -> None:
        file = drum_file([(0, 52, 90), (480, 55, 90)])

        assert {s.surface for s in read_midi(file).figure.strokes} == {Surface.CRASH}
        assert any("became crash" in note for note in read_midi(file).notes)
        full = read_midi(file, kit=FIVE_PIECE_TWO_PEDALS)
        assert [s.surface for s in full.figure.strokes] == [Surface.CHINA, Surface.SPLASH]

    def test_lists_keys_that_no_kit_has(self) -> None:
        back = read_midi(drum_file([(0, SNARE, 90), (0, 54, 90), (480, 54, 90), (0, 3, 90)]))

        assert "Left out: 2 × Tambourine (key 54), for which this kit has no place." in back.notes
        assert any("key 3" in note for note in back.notes)

    @given(
        st.lists(
            st.tuples(st.integers(0, 3839), st.integers(0, 127), st.integers(1, 127)),
            min_size=1,
            max_size=60,
        )
    )
    @settings(max_examples=60)
    def test_always_gives_something_playable_or_says_that_nothing_is_left(
        self, hits: list[tuple[int, int, int]]
    ) -> None:
        try:
            back = read_midi(drum_file(hits))
        except ImportRefused:
            return

        assert refusal(back.figure, FIVE_PIECE) is None
        assert len(back.sources) == len(back.figure)
        assert [s.stroke for s in back.sources] == list(back.figure.strokes)
        assert read_typed(write_typed(back.figure)) == back.figure
