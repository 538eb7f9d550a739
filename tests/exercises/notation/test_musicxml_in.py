"""Drum parts of other programs' scores, and our own read back."""

from __future__ import annotations

from fractions import Fraction

import music21
import pytest
from hypothesis import assume, given, settings

from exercises.notation.foreign_surfaces import STAFF_PLACES, named_surface
from exercises.notation.imported import ImportRefused, LimbRule, SurfaceRule
from exercises.notation.musicxml_in import read_musicxml
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.kit import KITS
from exercises.rhythm.library import LIBRARY, LibraryFigure
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed
from tests.exercises.notation.scores import (
    ATTRIBUTES,
    CONVENTIONS,
    compressed,
    note,
    part_head,
    score,
    two_beats,
)
from tests.strategies import figures

TWO_BEATS = read_typed("2/4\nRH hi-hat: x. ..\nLH snare: .g F.\nRF: x. .x\n")


def measure(inside: str, *, number: int = 1, opening: str = "") -> str:
    return f'<measure number="{number}">{opening}{inside}</measure>'


class TestOurOwn:
    @given(figures())
    @settings(max_examples=40)
    def test_reads_back_to_the_same_figure(self, figure: Figure) -> None:
        assume(len(figure))

        back = read_musicxml(musicxml(figure, bpm=88, sticking=True, counting=True))

        assert back.figure == figure
        assert back.figure.title == figure.title
        assert back.bpm == pytest.approx(88, abs=0.01)
        assert {source.limb_rule for source in back.sources} == {LimbRule.OURS}
        assert {source.surface_rule for source in back.sources} == {SurfaceRule.OURS}

    @pytest.mark.parametrize("core", LIBRARY, ids=lambda core: core.slug)
    def test_reads_back_every_library_figure(self, core: LibraryFigure) -> None:
        back = read_musicxml(musicxml(core.figure), kit=KITS[core.kit_key])

        assert back.figure == core.figure
        assert back.notes == ()

    def test_does_not_believe_an_id_that_moved(self) -> None:
        # Somebody cut the first of two bars: the ids now name other times.
        two_bars = musicxml(read_typed("1/4\nRH: x | x\nLH crash: . | .x\n"), prefix="p")
        text = two_bars.decode()
        cut = (
            text[: text.index('<measure number="1">')] + text[text.index('<measure number="2">') :]
        )
        opening = text[text.index("<attributes>") : text.index("</attributes>") + 13]
        cut = cut.replace('<measure number="2">', f'<measure number="2">{opening}')

        back = read_musicxml(cut.encode())

        assert {source.limb_rule for source in back.sources} == {LimbRule.HANDS}
        assert [s.onset for s in back.figure.strokes] == [0, Fraction(1, 2)]


class TestMusic21:
    def test_what_it_writes_is_read_by_place_and_notehead(self) -> None:
        bar = music21.stream.Measure(number=1)
        bar.append(music21.clef.PercussionClef())
        bar.append(music21.meter.TimeSignature("3/4"))
        for place, head, length in (
            *(("G5", "x", 1), ("C5", "normal", 0.5), ("F4", "normal", 0.5)),
            *(("G5", "x", Fraction(1, 3)), ("A4", "normal", Fraction(2, 3))),
        ):
            struck = music21.note.Unpitched(displayName=place, quarterLength=length)
            struck.notehead = head
            bar.append(struck)
        bar.notes[1].noteheadParenthesis = True
        bar.notes[4].articulations.append(music21.articulations.Accent())
        part = music21.stream.Part([bar], partName="Drums")
        data = music21.musicxml.m21ToXml.GeneralObjectExporter(part).parse()

        back = read_musicxml(data)

        assert [(s.onset, s.surface, s.loudness) for s in back.figure.strokes] == [
            (Fraction(0), Surface.HI_HAT, Loudness.NORMAL),
            (Fraction(1), Surface.SNARE, Loudness.GHOST),
            (Fraction(3, 2), Surface.BASS_DRUM, Loudness.NORMAL),
            (Fraction(2), Surface.HI_HAT, Loudness.NORMAL),
            (Fraction(7, 3), Surface.FLOOR_TOM, Loudness.ACCENT),
        ]
        assert {source.surface_rule for source in back.sources} == {SurfaceRule.STAFF_PLACE}


class TestConventions:
    RULES = {
        "full": SurfaceRule.GM_KEY,
        "sound_only": SurfaceRule.GM_KEY,
        "name_only": SurfaceRule.INSTRUMENT_NAME,
        "place_only": SurfaceRule.STAFF_PLACE,
        "lone_instruments": SurfaceRule.STAFF_PLACE,
        "pitched": SurfaceRule.PITCH_AS_KEY,
    }

    @pytest.mark.parametrize("convention", CONVENTIONS)
    def test_are_all_read_alike_and_say_by_which_rule(self, convention: str) -> None:
        back = read_musicxml(two_beats(convention))

        assert back.figure == TWO_BEATS
        assert {source.surface_rule for source in back.sources} == {self.RULES[convention]}
        assert back.notes == ()

    def test_take_a_table_of_places_from_the_teacher(self) -> None:
        places = {**STAFF_PLACES, ("C", 5, "normal"): Surface.FLOOR_TOM}

        back = read_musicxml(two_beats("place_only"), places=places)

        assert Surface.FLOOR_TOM in {s.surface for s in back.figure.strokes}
        assert Surface.SNARE not in {s.surface for s in back.figure.strokes}

    @pytest.mark.parametrize(
        ("name", "surface"),
        [
            ("Closed Hi-hat", Surface.HI_HAT),
            ("Hi-Hat (half open)", Surface.HI_HAT_HALF_OPEN),
            ("Pedal Hi Hat", Surface.HI_HAT_FOOT),
            ("Ride Bell", Surface.RIDE_BELL),
            ("Jazz ride", Surface.RIDE),
            ("Side Stick", Surface.CROSS_STICK),
            ("Low Floor Tom", Surface.FLOOR_TOM),
            ("High Tom-Tom", Surface.HIGH_TOM),
            ("Kick Drum", Surface.BASS_DRUM),
            ("Triangle", None),
            ("", None),
        ],
    )
    def test_know_common_names(self, name: str, surface: Surface | None) -> None:
        assert named_surface(name) is surface

    @pytest.mark.parametrize("surface", Surface)
    def test_know_every_name_we_write(self, surface: Surface) -> None:
        assert named_surface(surface.spoken) is surface


class TestTime:
    def test_reads_tuplets_exactly(self) -> None:
        notes = "".join(note("snare", duration=2) for _ in range(3)) + "".join(
            note("snare", duration=3) for _ in range(2)
        )
        opening = ATTRIBUTES.replace("<divisions>2<", "<divisions>6<")

        back = read_musicxml(score(measure(notes, opening=opening)))

        assert [s.onset for s in back.figure.strokes] == [
            *(Fraction(0), Fraction(1, 3), Fraction(2, 3), Fraction(1), Fraction(3, 2))
        ]

    def test_moves_nines_onto_the_grid_and_says_how_far(self) -> None:
        notes = "".join(note("snare", duration=1) for _ in range(9)) + note("snare", duration=9)
        opening = ATTRIBUTES.replace("<divisions>2<", "<divisions>9<")

        back = read_musicxml(
            score(measure(notes, opening=opening), before="<movement-title>Nines</movement-title>")
        )

        assert 0 < back.worst_error_beats < 0.1
        assert back.figure.strokes[-1].onset == 1
        assert back.figure.title == "Nines"

    def test_counts_a_tied_note_once(self) -> None:
        tied = note("snare", duration=2, inside='<tie type="start"/>') + note(
            "snare", duration=2, inside='<tie type="stop"/>'
        )

        assert len(read_musicxml(score(measure(tied, opening=ATTRIBUTES))).figure) == 1

    def test_takes_at_most_eight_bars_from_the_first_that_sounds(self) -> None:
        rest = "<note><rest/><duration>4</duration></note>"
        bars = [measure(rest, opening=ATTRIBUTES)] + [measure(rest)] * 2
        bars += [measure(note("snare", duration=4))] * 20

        back = read_musicxml(score("".join(bars)))

        assert (back.first_bar, back.figure.bars, back.bars_in_file) == (4, 8, 23)
        assert "Taken: bars 4 to 11 of 23." in back.notes
        later = read_musicxml(score("".join(bars)), start_bar=22, bars=4)
        assert (later.first_bar, later.figure.bars) == (22, 2)

    def test_passes_over_an_upbeat(self) -> None:
        upbeat = f'<measure number="0" implicit="yes">{ATTRIBUTES}{note("hat")}</measure>'

        back = read_musicxml(score(upbeat + measure(note("snare", duration=4))))

        assert [s.surface for s in back.figure.strokes] == [Surface.SNARE]
        assert any("upbeat" in said for said in back.notes)

    def test_stops_where_the_meter_changes_and_says_so(self) -> None:
        other = "<attributes><time><beats>3</beats><beat-type>8</beat-type></time></attributes>"
        bars = measure(note("snare", duration=4), opening=ATTRIBUTES)
        bars += measure(note("snare", duration=3), opening=other)

        back = read_musicxml(score(bars))

        assert (str(back.figure.meter), back.figure.bars) == ("2/4", 1)
        assert any("From bar 2 on the meter is another one" in said for said in back.notes)
        assert str(read_musicxml(score(bars), start_bar=2).figure.meter) == "3/8"

    def test_adds_up_a_meter_written_as_a_sum(self) -> None:
        seven = ATTRIBUTES.replace("<beats>2<", "<beats>2+2+3<").replace("type>4<", "type>8<")

        back = read_musicxml(score(measure(note("snare", duration=7), opening=seven)))

        assert str(back.figure.meter) == "7/8"

    def test_refuses_bars_without_a_meter_to_count(self) -> None:
        free = ATTRIBUTES.replace("<beats>2</beats><beat-type>4</beat-type>", "<senza-misura/>")
        with pytest.raises(ImportRefused, match="Bar 1 cannot be taken: it has no single meter"):
            read_musicxml(score(measure(note("snare"), opening=free)))

    def test_leaves_out_notes_after_the_bar_is_full(self) -> None:
        notes = "".join(note("snare") for _ in range(6))

        back = read_musicxml(score(measure(notes, opening=ATTRIBUTES)))

        assert len(back.figure) == 4
        assert "Left out: 2 × a note written after its bar was full." in back.notes

    def test_says_that_repeats_are_not_played_out(self) -> None:
        again = '<barline><repeat direction="backward"/></barline>'
        bars = measure(note("snare") + again, opening=ATTRIBUTES) + measure(note("snare"))

        assert any("Repeat signs" in said for said in read_musicxml(score(bars)).notes)

    @pytest.mark.parametrize(
        ("direction", "bpm"),
        [
            ('<sound tempo="96"/>', 96),
            (
                "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
                "<beat-unit-dot/><per-minute>60</per-minute></metronome></direction-type>"
                "</direction>",
                90,
            ),
            ('<sound tempo="1e99"/>', None),
        ],
    )
    def test_reads_the_tempo_that_sounds_or_is_printed(
        self, direction: str, bpm: float | None
    ) -> None:
        back = read_musicxml(score(measure(direction + note("snare"), opening=ATTRIBUTES)))

        assert back.bpm == bpm


class TestStrokes:
    def read(self, *notes: str, head: str | None = None, opening: str = ATTRIBUTES) -> Figure:
        return read_musicxml(score(measure("".join(notes), opening=opening), head=head)).figure

    def test_gives_grace_notes_to_the_chord_note_of_their_surface(self) -> None:
        figure = self.read(
            note("snare", grace=True), note("snare", grace=True), note("snare"), note("hat")
        )

        assert [s.ornament for s in figure.strokes] == [Ornament.DRAG, Ornament.NONE]

    def test_drops_a_flam_that_leaves_no_hand_for_it(self) -> None:
        back = read_musicxml(
            score(
                measure(
                    note("snare", grace=True) + note("hat") + note("snare", chord=True),
                    opening=ATTRIBUTES,
                )
            )
        )

        assert {s.ornament for s in back.figure.strokes} == {Ornament.NONE}
        assert any("grace strokes while the other hand is busy" in said for said in back.notes)

    def test_reads_the_open_sign_over_a_hi_hat(self) -> None:
        sign = "<notations><technical><open-string/></technical></notations>"

        figure = self.read(note("hat", inside=sign), note("hat"))

        assert [s.surface for s in figure.strokes] == [Surface.HI_HAT_OPEN, Surface.HI_HAT]

    def test_reads_a_bass_clef_like_the_tutorials_drum_part(self) -> None:
        bass = ATTRIBUTES.replace("<sign>percussion</sign>", "<sign>F</sign><line>4</line>")
        low = note("snare", "place_only").replace("<display-step>C", "<display-step>E")
        low = low.replace("<display-octave>5", "<display-octave>3")

        assert self.read(low, head=part_head("place_only"), opening=bass).strokes[0].surface is (
            Surface.SNARE
        )

    def test_calls_a_staff_of_one_line_by_its_parts_name(self) -> None:
        line = ATTRIBUTES.replace(
            "</attributes>",
            "<staff-details><staff-lines>1</staff-lines></staff-details></attributes>",
        )
        head = part_head("place_only", name="Cowbell")

        figure = self.read(note("snare", "place_only"), head=head, opening=line)

        assert figure.strokes[0].surface is Surface.COWBELL

    def test_takes_the_feet_of_a_chord_away_from_its_hands(self) -> None:
        figure = self.read(note("hat"), note("snare", chord=True), note("bass", chord=True))

        assert {(s.limb, s.surface) for s in figure.strokes} == {
            *((Limb.RH, Surface.HI_HAT), (Limb.LH, Surface.SNARE), (Limb.RF, Surface.BASS_DRUM))
        }

    def test_lists_what_it_does_not_know(self) -> None:
        strange = note("snare", "place_only").replace("<display-octave>5", "<display-octave>7")
        head = part_head("place_only")
        back = read_musicxml(
            score(measure(note("bass", "place_only") + strange, opening=ATTRIBUTES), head=head)
        )

        assert "Left out: 1 × normal notehead at C7, which is no surface known here." in back.notes


class TestCompressed:
    def test_is_read_like_the_plain_score(self) -> None:
        assert read_musicxml(compressed(two_beats("full"))).figure == TWO_BEATS

    def test_follows_the_container_to_any_folder(self) -> None:
        assert read_musicxml(compressed(two_beats("full"), path="a/b.musicxml")).figure == TWO_BEATS
