"""What is written for every figure of the library, against published rules of drum notation.

- Norman Weinberg, "Guidelines for Drumset Notation", Percussive Notes, June 1994, pp. 15-26, as
  encoded by LilyPond's ``weinberg-drums-style`` (check values A3.weinberg.*): staff places, heads.
- Hands stem up, feet stem down; voices fill their bars; beams close: common practice, no source.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest
from lxml import etree

from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Stroke
from exercises.rhythm.library import CORES
from exercises.rhythm.limbs import FEET
from exercises.rhythm.record import stroke_id
from tests.outside.test_staff_places import MUSICXML_HEADS, WEINBERG

PREFIX = "lib"


@pytest.fixture(scope="module")
def scores() -> list[tuple[Figure, etree._Element]]:
    return [(core.figure, etree.fromstring(musicxml(core.figure, prefix=PREFIX))) for core in CORES]


def notes_of(figure: Figure, score: etree._Element) -> Iterator[tuple[Stroke, etree._Element]]:
    """Each stroke of a figure with the note that was written for it."""
    by_id = {note.get("id"): note for note in score.iter("note")}
    for stroke in figure.strokes:
        yield stroke, by_id[stroke_id(PREFIX, stroke)]


def test_every_stroke_stands_on_its_published_place(
    scores: list[tuple[Figure, etree._Element]], shared_checks: Path
) -> None:
    entries = json.loads((shared_checks / "checks.json").read_text(encoding="utf-8"))
    expected = {
        WEINBERG[e["input"]["instrument"]]: e["expected"]
        for e in entries
        if e["id"].startswith("A3.weinberg.") and e["input"]["instrument"] in WEINBERG
    }
    checked = 0
    for figure, score in scores:
        for stroke, note in notes_of(figure, score):
            rule = expected.get(stroke.surface)
            if rule is None:
                continue
            place = f"{note.findtext('.//display-step')}{note.findtext('.//display-octave')}"
            head = MUSICXML_HEADS[rule["notehead"].split(" ")[0]]
            assert place == rule["percussion_or_treble_clef"], figure.title
            assert (note.findtext("notehead") or "normal") == head, figure.title
            checked += 1
    assert checked > 500


def test_hands_stem_up_and_feet_stem_down(scores: list[tuple[Figure, etree._Element]]) -> None:
    for figure, score in scores:
        for stroke, note in notes_of(figure, score):
            wanted = "down" if stroke.limb in FEET else "up"
            assert note.findtext("stem") == wanted, figure.title


def test_each_voice_fills_its_bars(scores: list[tuple[Figure, etree._Element]]) -> None:
    for figure, score in scores:
        divisions = int(score.findtext(".//divisions") or "0")
        bar = figure.meter.bar_beats * figure.meter.beat_quarters * divisions
        for measure in score.iter("measure"):
            lengths: dict[str, int] = defaultdict(int)
            for note in measure.findall("note"):
                if note.find("chord") is None and note.find("grace") is None:
                    lengths[note.findtext("voice") or ""] += int(note.findtext("duration") or "0")
            assert set(lengths.values()) == {bar}, figure.title


def test_beams_close_within_their_bar(scores: list[tuple[Figure, etree._Element]]) -> None:
    for figure, score in scores:
        for measure in score.iter("measure"):
            open_beams: set[tuple[str | None, str | None, bool]] = set()
            for note in measure.findall("note"):
                for beam in note.findall("beam"):
                    key = note.findtext("voice"), beam.get("number"), note.find("grace") is not None
                    if beam.text == "begin":
                        assert key not in open_beams, figure.title
                        open_beams.add(key)
                    elif beam.text in ("continue", "end"):
                        assert key in open_beams, figure.title
                        if beam.text == "end":
                            open_beams.remove(key)
            assert not open_beams, figure.title
