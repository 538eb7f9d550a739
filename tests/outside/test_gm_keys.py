"""Drum keys against the General MIDI Level 1 percussion key map (MMA/AMEI, 1991)."""

from __future__ import annotations

import json
from pathlib import Path

import pretty_midi
import pytest

from exercises.notation.drum_keys import GM_KEY_NAMES, GM_SURFACES, MAKER_SURFACES
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface

# Which General MIDI instrument each surface is; the three without one of their own are our choices.
EXPECTED = {
    Surface.BASS_DRUM: "Bass Drum 1",
    Surface.SNARE: "Acoustic Snare",
    Surface.CROSS_STICK: "Side Stick",
    Surface.HIGH_TOM: "High Tom",
    Surface.MID_TOM: "Low-Mid Tom",
    Surface.FLOOR_TOM: "High Floor Tom",
    Surface.HI_HAT: "Closed Hi Hat",
    Surface.HI_HAT_OPEN: "Open Hi Hat",
    Surface.HI_HAT_FOOT: "Pedal Hi Hat",
    Surface.RIDE: "Ride Cymbal 1",
    Surface.RIDE_BELL: "Ride Bell",
    Surface.CRASH: "Crash Cymbal 1",
    Surface.SPLASH: "Splash Cymbal",
    Surface.CHINA: "Chinese Cymbal",
    Surface.COWBELL: "Cowbell",
}


def key_map(folder: Path) -> dict[int, str]:
    entries = json.loads((folder / "checks.json").read_text())
    return {
        entry["input"]["midi_note"]: entry["expected"]
        for entry in entries
        if entry["topic"] == "GM1 percussion key map"
    }


def test_the_names_of_all_47_keys_are_those_of_general_midi(shared_checks: Path) -> None:
    published = key_map(shared_checks)

    assert len(published) == 47
    assert published == GM_KEY_NAMES


def test_a_general_library_knows_the_keys_by_the_same_names() -> None:
    # pretty_midi 0.2: a table of the same standard kept by other people.
    assert {key: pretty_midi.note_number_to_drum_name(key) for key in GM_KEY_NAMES} == GM_KEY_NAMES


@pytest.mark.parametrize("surface", EXPECTED)
def test_each_surface_sounds_as_its_general_midi_instrument(surface: Surface) -> None:
    assert GM_KEY_NAMES[surface.facts.gm_key] == EXPECTED[surface]


@pytest.mark.parametrize("surface", Surface)
def test_the_key_a_surface_is_written_with_is_read_as_its_piece(surface: Surface) -> None:
    assert GM_SURFACES[surface.facts.gm_key].facts.piece is surface.facts.piece


def test_the_makers_keys_are_outside_the_map_or_none_of_a_drum_set(shared_checks: Path) -> None:
    published = key_map(shared_checks)

    assert [key for key in MAKER_SURFACES if key in published] == [58]
    assert published[58] == "Vibraslap"


def test_midi_unpitched_is_one_more_than_the_midi_note(shared_checks: Path) -> None:
    # MusicXML 4.0, element midi-unpitched: "a MIDI 1.0 note number ranging from 1 to 128".
    entries = json.loads((shared_checks / "checks.json").read_text())
    check = next(entry for entry in entries if entry["id"] == "A1.musicxml.offset")
    snare = Figure.of("1/4", 1, [Stroke(0, Limb.LH, Surface.SNARE)])  # type: ignore[arg-type]

    assert check["input"]["midi_note"] == Surface.SNARE.facts.gm_key
    assert f"<midi-unpitched>{check['expected']}</midi-unpitched>" in musicxml(snare).decode()
