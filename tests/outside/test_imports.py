"""Drum parts that other people wrote or played, imported.

Scores: the drum part of the W3C MusicXML 4.0 percussion tutorial and file 73a of the LilyPond
MusicXML test suite, both as the music21 package carries them. Takes: 39 of the Groove MIDI Dataset
v1.0.0 (Gillick et al. 2019; CC BY 4.0), real drummers on an electronic kit.
"""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from copy import deepcopy
from functools import lru_cache
from pathlib import Path

import mido
import music21
import pytest

from exercises.notation.drum_keys import GM_SURFACES, MAKER_SURFACES
from exercises.notation.imported import Imported, LimbRule, SurfaceRule
from exercises.notation.musicxml_in import read_musicxml
from exercises.notation.stretches import Take, offers, open_file
from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.playability import refusal
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed, write_typed

MUSIC21 = Path(music21.__file__).parent
TUTORIAL = MUSIC21 / "corpus" / "demos" / "drum_sample.xml"
LILYPOND = MUSIC21 / "musicxml" / "lilypondTestSuite" / "73a-Percussion.xml"


def check(folder: Path, ident: str) -> dict[str, object]:
    entries = json.loads((folder / "checks.json").read_text())
    return next(entry["expected"] for entry in entries if entry["id"] == ident)  # type: ignore[no-any-return]


class TestTutorial:
    def test_the_drum_part_has_the_strokes_that_were_counted(self, shared_checks: Path) -> None:
        expected = check(shared_checks, "A9.musicxml.tutorial")["P1"]
        back = read_musicxml(TUTORIAL.read_bytes())
        counted = Counter(stroke.surface for stroke in back.figure.strokes)

        assert isinstance(expected, dict)
        assert counted == {
            Surface.CRASH: expected["crash diamond B3"],
            Surface.HI_HAT: expected["hihat x B3"],
            Surface.SNARE: expected["snare E3"],
            Surface.BASS_DRUM: expected["kick A2 stem down"],
        }
        assert back.figure.bars == 2

    def test_the_drum_part_is_the_groove_that_is_printed(self) -> None:
        assert read_musicxml(TUTORIAL.read_bytes()).figure == read_typed(
            "4/4\n"
            "RH crash:  x. .. .. .. | .. .. .. ..\n"
            "RH hi-hat: .x xx xx xx | xx xx xx xx\n"
            "LH:        .. x. .. x. | .. x. .. x.\n"
            "RF:        x. .. xx .x | x. .. xx .x\n"
        )

    def test_the_second_part_is_eight_cowbells(self, shared_checks: Path) -> None:
        expected = check(shared_checks, "A9.musicxml.tutorial")["P2"]
        back = read_musicxml(TUTORIAL.read_bytes(), part="P2")

        assert isinstance(expected, dict)
        assert len(back.figure) == expected["cowbell x E4"]
        assert {stroke.surface for stroke in back.figure.strokes} == {Surface.COWBELL}


class TestLilyPondSuite:
    def test_the_percussion_clef_part_is_read_by_staff_place(self, shared_checks: Path) -> None:
        expected = check(shared_checks, "A9.musicxml.73a")
        back = read_musicxml(LILYPOND.read_bytes())

        # High tom, snare and mid tom on a drum-set staff (Weinberg 1994).
        assert expected["Cymbals unpitched"] == ["E5", "C5", "D5"]
        assert [(s.onset, s.surface) for s in back.figure.strokes] == [
            (0, Surface.HIGH_TOM),
            (3, Surface.SNARE),
            (4, Surface.MID_TOM),
        ]
        assert {source.surface_rule for source in back.sources} == {SurfaceRule.STAFF_PLACE}
        assert "Other parts were left out: Timpani, Triangle." in back.notes


class TestMusic21:
    def test_writes_scores_that_are_read_by_staff_place(self, tmp_path: Path) -> None:
        hat, snare = music21.note.Unpitched("G5"), music21.note.Unpitched("C5")
        hat.notehead = "x"
        part = music21.stream.Part(
            [music21.clef.PercussionClef(), music21.meter.TimeSignature("2/4")]
        )
        part.append(hat)
        part.append(music21.percussion.PercussionChord([deepcopy(hat), snare]))
        written = part.write("musicxml", tmp_path / "score.musicxml")

        back = open_file(Path(written).read_bytes(), is_midi=False)()

        assert back.figure == read_typed("2/4\nRH hi-hat: x x\nLH snare: . x\n")
        assert not back.says_tempo
        assert {source.surface_rule for source in back.sources} == {SurfaceRule.STAFF_PLACE}


def takes(folder: Path) -> list[dict[str, str]]:
    with (folder / "groove" / "info.csv").open() as file:
        return list(csv.DictReader(file))


@lru_cache(maxsize=64)
def opened(file: Path) -> Take:
    """A take, parsed once for all tests."""
    return open_file(file.read_bytes(), is_midi=True)


@lru_cache(maxsize=64)
def imported(file: Path) -> Imported:
    """A take's first bars; read once for all tests."""
    return opened(file)()


def _lost(said: str) -> int:
    """How many strokes a note says were left out: so many times, or at so many places."""
    counted = re.match(r"Left out: (\d+) ×", said)
    more = re.search(r"and (\d+) more", said)
    return int(counted[1]) if counted else said.count("beat") + (int(more[1]) if more else 0)


class TestGroove:
    def test_every_take_gives_two_playable_bars_on_the_drummers_grid(
        self, shared_checks: Path
    ) -> None:
        rows = takes(shared_checks)
        assert len(rows) == 39
        for row in rows:
            back = imported(shared_checks / "groove" / row["file"])

            assert back.figure.bars == 2, row["file"]
            assert str(back.figure.meter) == row["time_signature"].replace("-", "/")
            assert back.bpm == pytest.approx(float(row["bpm"]), abs=0.01)
            assert refusal(back.figure, FIVE_PIECE) is None, row["file"]
            assert not any("nobody can play" in said for said in back.notes)
            # Drummers' spread about a click is some 20 ms (Groove MIDI Dataset, computed in the
            # check values), which is 0.05 beats at 150; a triplet grid is 0.17 away at most.
            assert back.mean_error_beats < 0.06, row["file"]
            assert back.worst_error_beats <= 0.17, row["file"]
            assert {source.limb_rule for source in back.sources} <= {LimbRule.HANDS, LimbRule.PEDAL}
            assert read_typed(write_typed(back.figure)) == back.figure

    def test_every_take_is_offered_as_playable_and_graded(self, shared_checks: Path) -> None:
        for row in takes(shared_checks):
            file = shared_checks / "groove" / row["file"]
            first = imported(file).first_bar

            (offer,) = offers(opened(file), first_bar=first, length=2, bars_in_file=first + 1)

            assert offer.imported == imported(file), row["file"]
            assert offer.why_not == "", row["file"]
            assert 0 < float(offer.grade) <= 10, row["file"]

    def test_hardly_a_stroke_is_lost(self, shared_checks: Path) -> None:
        kept = lost = 0
        for row in takes(shared_checks):
            back = imported(shared_checks / "groove" / row["file"])
            graces = sum({"none": 0, "flam": 1, "drag": 2}[s.ornament] for s in back.figure.strokes)
            kept += len(back.figure) + graces
            lost += sum(_lost(said) for said in back.notes if said.startswith("Left out"))

        assert kept > 900
        assert lost < kept / 20

    def test_every_key_that_the_drummers_strike_has_a_surface(self, shared_checks: Path) -> None:
        published = check(shared_checks, "A9.gmd.notes")
        struck: Counter[int] = Counter()
        for row in takes(shared_checks):
            for track in mido.MidiFile(shared_checks / "groove" / row["file"]).tracks:
                struck.update(m.note for m in track if m.type == "note_on" and m.velocity)

        assert {str(key) for key in struck} <= set(published)
        assert set(struck) <= set(GM_SURFACES) | set(MAKER_SURFACES)
        assert {int(key) for key in published} <= set(GM_SURFACES) | set(MAKER_SURFACES)
        assert all(count <= published[str(key)] for key, count in struck.items())  # type: ignore[operator]
