"""Staff places and noteheads against published tables.

- Norman Weinberg, "Guidelines for Drumset Notation", Percussive Notes, June 1994, pp. 15-26, as
  encoded by LilyPond's ``weinberg-drums-style`` (check values A3.weinberg.*).
- W3C, MusicXML 4.0 tutorial, "Percussion" (A3.musicxml.percclef).
- W3C, SMuFL 1.4, tables of noteheads and clefs (A3.smufl.*).
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from exercises.notation.engraving import engrave
from exercises.notation.legend import staff_position
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Loudness, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Head, Surface

WEINBERG = {
    "chinesecymbal": Surface.CHINA,
    "crashcymbal": Surface.CRASH,
    "closedhihat": Surface.HI_HAT,
    "openhihat": Surface.HI_HAT_OPEN,
    "hihat": Surface.HI_HAT,
    "ridecymbal": Surface.RIDE,
    "ridebell": Surface.RIDE_BELL,
    "hightom": Surface.HIGH_TOM,
    "cowbell": Surface.COWBELL,
    "lowmidtom": Surface.MID_TOM,
    "sidestick": Surface.CROSS_STICK,
    "snare": Surface.SNARE,
    "highfloortom": Surface.FLOOR_TOM,
    "bassdrum": Surface.BASS_DRUM,
    "pedalhihat": Surface.HI_HAT_FOOT,
}
"""The table's names for what our kit has. Of its several toms, rides and bass drums we use one."""

MUSICXML_HEADS = {"normal": "normal", "cross": "x", "diamond": "diamond", "triangle": "triangle"}
SMUFL_HEADS = {
    "noteheadBlack": Surface.SNARE,
    "noteheadXBlack": Surface.HI_HAT,
    "noteheadCircleX": Surface.HI_HAT_SPLASH,
    "noteheadTriangleUpBlack": Surface.COWBELL,
    "noteheadDiamondBlack": Surface.RIDE_BELL,
}


@pytest.fixture(scope="module")
def table(shared_checks: Path) -> dict[str, Any]:
    entries = json.loads((shared_checks / "checks.json").read_text(encoding="utf-8"))
    return {entry["id"]: entry for entry in entries if not entry.get("from_memory")}


def one_stroke(surface: Surface, loudness: Loudness = Loudness.NORMAL) -> Figure:
    limb = Limb.RF if surface.by_foot else Limb.RH
    return Figure.of("4/4", 1, [Stroke(Fraction(0), limb, surface, loudness)])


def written_note(surface: Surface) -> etree._Element:
    note = etree.fromstring(musicxml(one_stroke(surface))).find(".//note[unpitched]")
    assert note is not None
    return note


class TestWeinbergsGuidelines:
    @pytest.mark.parametrize(("name", "surface"), sorted(WEINBERG.items()))
    def test_place_and_head(self, table: dict[str, Any], name: str, surface: Surface) -> None:
        expected = table[f"A3.weinberg.{name}"]["expected"]

        note = written_note(surface)

        step = note.findtext("unpitched/display-step") or ""
        octave = note.findtext("unpitched/display-octave") or ""
        assert step + octave == expected["percussion_or_treble_clef"]
        assert staff_position(surface.facts) == expected["staff_pos_from_middle_line"]
        head = expected["notehead"].split(" ")[0]
        assert note.findtext("notehead") == MUSICXML_HEADS[head]


class TestMusicXMLTutorial:
    def test_its_part_in_a_percussion_clef(self, table: dict[str, Any]) -> None:
        assert table["A3.musicxml.percclef"]["expected"] == "G5 (so E3->C5, A2->F4)"

        places = [
            written_note(s).findtext("unpitched/display-step", "")
            + written_note(s).findtext("unpitched/display-octave", "")
            for s in (Surface.HI_HAT, Surface.SNARE, Surface.BASS_DRUM)
        ]

        assert places == ["G5", "C5", "F4"]


class TestSMuFL:
    @pytest.mark.parametrize(("glyph", "surface"), sorted(SMUFL_HEADS.items()))
    def test_drawn_head(self, table: dict[str, Any], glyph: str, surface: Surface) -> None:
        code = table[f"A3.smufl.{glyph}"]["expected"].removeprefix("U+")

        svg = etree.fromstring(engrave(one_stroke(surface), prefix="x"))

        uses = svg.findall(".//{*}g[@id]/{*}use")
        assert [use.get("href") for use in uses] == [f"#x-{code}"]

    def test_clef(self, table: dict[str, Any]) -> None:
        code = table["A3.smufl.unpitchedPercussionClef1"]["expected"].removeprefix("U+")

        assert f'href="#x-{code}"' in engrave(one_stroke(Surface.SNARE), prefix="x")

    def test_every_head_is_drawn_differently(self) -> None:
        surfaces = {surface.facts.head: surface for surface in Surface}
        assert set(surfaces) == set(Head)

        drawn = {
            engrave(one_stroke(s), prefix="x").partition('class="note')[2].split("#")[1][:6]
            for s in surfaces.values()
        }

        assert len(drawn) == len(Head)
