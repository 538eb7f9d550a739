"""What is written for every figure of the library, against published rules of drum notation.

- Norman Weinberg, "Guidelines for Drumset Notation", Percussive Notes, June 1994, pp. 15-26, as
  encoded by LilyPond's ``weinberg-drums-style`` (check values A3.weinberg.*): staff places, heads.
- Hands stem up, feet stem down; voices fill their bars; beams close: common practice, no source.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from exercises.notation import glyphs, legend
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.library import LIBRARY
from exercises.rhythm.limbs import FEET
from exercises.rhythm.record import stroke_id
from exercises.rhythm.surfaces import Head
from tests.outside.test_staff_places import MUSICXML_HEADS, WEINBERG

PREFIX = "lib"


@pytest.fixture(scope="module")
def scores() -> list[tuple[Figure, etree._Element]]:
    return [
        (entry.figure, etree.fromstring(musicxml(entry.figure, prefix=PREFIX, sticking=True)))
        for entry in LIBRARY
    ]


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
    assert checked > 1500


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


def test_beams_never_cross_a_beat_group(scores: list[tuple[Figure, etree._Element]]) -> None:
    """The eye finds the beats by the beams: common practice, no source."""
    for figure, score in scores:
        divisions = int(score.findtext(".//divisions") or "0")
        quarters = figure.meter.beat_quarters
        edges, at = [], Fraction(0)
        for group in figure.meter.groups:
            edges.append(at * quarters * divisions)
            at += group
        for measure in score.iter("measure"):
            for voice in ("1", "2"):
                now, begun = Fraction(0), None
                for note in measure.findall("note"):
                    if note.findtext("voice") != voice or note.find("grace") is not None:
                        continue
                    if note.find("chord") is not None:
                        continue
                    first = next((b.text for b in note.findall("beam")), None)
                    if first == "begin":
                        begun = now
                    elif begun is not None and first == "end":
                        assert not any(begun < edge <= now for edge in edges), figure.title
                    now += int(note.findtext("duration") or "0")


def test_marks_are_where_a_drummer_looks_for_them(
    scores: list[tuple[Figure, etree._Element]],
) -> None:
    """Ghosts in parentheses, accents on the stem's side, graces before, z for a buzz, R and L."""
    for figure, score in scores:
        for stroke, note in notes_of(figure, score):
            head = note.find("notehead")
            is_ghost = head is not None and head.get("parentheses") == "yes"
            assert is_ghost == (stroke.loudness is Loudness.GHOST), figure.title
            tremolo = note.find("notations/ornaments/tremolo")
            assert (tremolo is not None) == (stroke.ornament is Ornament.BUZZ), figure.title
            accent = note.find("notations/articulations/accent")
            if stroke.loudness is Loudness.ACCENT and note.find("chord") is None:
                assert accent is not None
                assert accent.get("placement") == ("below" if stroke.limb in FEET else "above")
            graces = [
                before
                for before in note.itersiblings("note", preceding=True)
                if (before.get("id") or "").startswith(f"{note.get('id')}-g")
            ]
            assert len(graces) == stroke.ornament.graces, figure.title
            if stroke.limb.is_hand and note.find("chord") is None:
                letters = {text.text for text in note.iterfind("lyric/text")}
                assert stroke.limb.value[0] in letters, figure.title


def test_tuplets_begin_and_end_with_their_numbers(
    scores: list[tuple[Figure, etree._Element]],
) -> None:
    for figure, score in scores:
        for measure in score.iter("measure"):
            for voice in ("1", "2"):
                depth = 0
                for note in measure.findall("note"):
                    if note.findtext("voice") != voice:
                        continue
                    kinds = [tuplet.get("type") for tuplet in note.iterfind(".//tuplet")]
                    depth += kinds.count("start")
                    in_tuplet = note.find("time-modification") is not None
                    if note.find("chord") is None and note.find("grace") is None:
                        assert in_tuplet == (depth > 0), figure.title
                    depth -= kinds.count("stop")
                assert depth == 0, figure.title


def test_the_key_draws_published_glyphs(shared_checks: Path) -> None:
    """SMuFL 1.4 code points (check values A3.smufl.*)."""
    entries = json.loads((shared_checks / "checks.json").read_text(encoding="utf-8"))
    published = {
        e["input"]["glyph"]: e["expected"].removeprefix("U+")
        for e in entries
        if e["id"].startswith("A3.smufl.")
    }

    assert published["noteheadBlack"] == glyphs.NOTEHEAD_BLACK
    assert published["noteheadBlack"] == legend.HEAD_GLYPHS[Head.NORMAL]
    assert published["noteheadXBlack"] == legend.HEAD_GLYPHS[Head.CROSS]
    assert published["noteheadCircleX"] == legend.HEAD_GLYPHS[Head.CIRCLE_CROSS]
    assert published["noteheadTriangleUpBlack"] == legend.HEAD_GLYPHS[Head.TRIANGLE]
    assert published["noteheadDiamondBlack"] == legend.HEAD_GLYPHS[Head.DIAMOND]
    assert (
        published["noteheadParenthesisLeft"],
        published["noteheadParenthesisRight"],
    ) == legend.PARENTHESES
