"""Files from strangers: broken, huge, lying or malicious. Each is refused quickly, in words."""

from __future__ import annotations

import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.notation.imported import Imported, ImportRefused
from exercises.notation.midi_guard import MOST_EVENTS
from exercises.notation.midi_in import read_midi
from exercises.notation.midi_out import midi
from exercises.notation.musicxml_in import read_musicxml
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.typed import read_typed
from tests.exercises.notation.midi_files import drum_file, raw_file, saved
from tests.exercises.notation.scores import ATTRIBUTES, compressed, note, score, two_beats

FIGURE = read_typed("4/4 T\nRH: x.x. xxx x.x. Fx..\nLH snare: . X .g d\nRF: x x x x\n")
MIDI, MUSICXML = midi(FIGURE, bpm=100, count_in=True), musicxml(FIGURE, bpm=100, sticking=True)
END = b"\x00\xff\x2f\x00"
STRIKE = b"\x00\x99\x26\x40"


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Fail when the block takes more processor time than this, on a slow machine."""
    start = time.process_time()
    yield
    assert time.process_time() - start < seconds


def answer(read: Callable[[bytes], Imported], data: bytes) -> str:
    """What a reader says to a file: why it refuses, or that it read it."""
    try:
        back = read(data)
    except ImportRefused as refused:
        return str(refused)
    return f"Read {len(back.figure)} strokes."


def spoilt(data: bytes, draw: Callable[..., Any]) -> bytes:
    """The file with some bytes changed, cut out or put in."""
    changed = bytearray(data)
    places = st.integers(0, len(data) - 1)
    for at, what in draw(st.lists(st.tuples(places, st.binary(max_size=4)), min_size=1)):
        length = len(what)
        changed[at : at + length] = what if length else b""
    return bytes(changed[: draw(places) + 1] if draw(st.booleans()) else changed)


class TestMidi:
    @pytest.mark.parametrize(
        ("data", "said"),
        [
            (b"", "not a MIDI file"),
            (b"MThd", "not a MIDI file"),
            (b"RIFF" + bytes(100), "not a MIDI file"),
            (MUSICXML, "not a MIDI file"),
            (b"MThd" + bytes(2_000_000), "2.0 MB"),
            (raw_file(STRIKE + END, division=0), "no length for its beat"),
            (raw_file(STRIKE + END, division=0xE728), "film frames"),
            (raw_file(STRIKE + END, kind=2), "type 0 and 1"),
            (raw_file(STRIKE + END, tracks=0), "1 to 256 tracks"),
            (raw_file(STRIKE + END, tracks=65_535), "1 to 256 tracks"),
            (raw_file(STRIKE + END, tracks=2), "breaks off or is damaged before track 2"),
            (raw_file(STRIKE + END)[:-2], "breaks off within track 1"),
            (raw_file(b"\x00\x26\x40" + END), "damaged within track 1"),
            (raw_file(b"\x00\x99\xa6\x40" + END), "damaged within track 1"),
            (raw_file(b"\xff\xff\xff\xff\x7f\x99\x26\x40" + END), "damaged within track 1"),
            (raw_file(b"\x00\xff\x01\xff\xff\xff\x7f" + END), "damaged within track 1"),
            (raw_file(b"\x00\xf4" + END), "damaged within track 1"),
            (raw_file(END), "nothing is played"),
            (drum_file([(0, 60, 90)], channel=0), "no drum part"),
            (drum_file([(0, 3, 90)]), "nothing that a drum set plays"),
            (raw_file(b"\x00\xff\x51\x03\x00\x00\x00" + STRIKE + END), "tempo of zero"),
            (raw_file(b"\x00\xff\x58\x04\x00\x02\x18\x08" + STRIKE + END), "1 to 32 counts"),
            (raw_file(b"\x00\xff\x58\x04\x04\x09\x18\x08" + STRIKE + END), "4/512"),
        ],
    )
    def test_is_refused_in_words(self, data: bytes, said: str) -> None:
        with within(2), pytest.raises(ImportRefused, match=f"(?i){said}"):
            read_midi(data)

    def test_of_more_events_than_a_drum_part_is_refused_quickly(self) -> None:
        with within(2), pytest.raises(ImportRefused, match="more than 80000 events"):
            read_midi(raw_file(STRIKE + b"\x01\x26\x40" * 600_000 + END))

    def test_of_as_many_events_as_allowed_is_still_read(self) -> None:
        track = STRIKE + b"\x81\x70\x26\x40" * (MOST_EVENTS - 2) + END

        with within(20):
            assert read_midi(raw_file(track)).figure.bars == 2

    def test_with_a_crowd_in_one_bar_is_refused(self) -> None:
        with within(10), pytest.raises(ImportRefused, match="more than anyone plays"):
            read_midi(raw_file(STRIKE + b"\x00\x26\x40" * 20_000 + END))

    def test_whose_meter_changes_all_the_time_is_refused(self) -> None:
        changes = b"".join(
            b"\x01\xff\x58\x04" + bytes((2 + number % 2, 2, 24, 8)) for number in range(3_000)
        )
        with within(5), pytest.raises(ImportRefused, match="changes its meter 3000 times"):
            read_midi(raw_file(changes + STRIKE + END))

    def test_with_an_impossible_key_signature_is_refused(self) -> None:
        with pytest.raises(ImportRefused, match="damaged"):
            read_midi(raw_file(b"\x00\xff\x59\x02\x7f\x07" + STRIKE + END))

    @given(st.data())
    @settings(max_examples=150)
    def test_spoilt_anyhow_raises_nothing_but_a_refusal(self, data: st.DataObject) -> None:
        said = answer(read_midi, spoilt(MIDI, data.draw))

        assert said[0].isupper()
        assert said.endswith(".")

    @given(st.binary(max_size=200))
    def test_of_any_bytes_is_refused(self, junk: bytes) -> None:
        with pytest.raises(ImportRefused):
            read_midi(junk)

    def test_of_ours_that_says_nonsense_is_read_as_a_strangers(self) -> None:
        track = mido.MidiTrack(
            [mido.MetaMessage("text", text="drum figure: 9 bars, count-in 9 bars")]
        )
        track.append(mido.MetaMessage("text", text="RH gong loud none"))
        track.append(mido.Message("note_on", channel=9, note=38, velocity=90))

        back = read_midi(saved([track]))

        assert len(back.figure) == 1
        assert any("changed by another program" in said for said in back.notes)


LAUGHS = b'<!DOCTYPE s [<!ENTITY a "ha">' + b"".join(
    f'<!ENTITY a{n} "{f"&a{n - 1 or str()};" * 10}">'.encode() for n in range(1, 10)
)


class TestMusicXml:
    @pytest.mark.parametrize(
        ("data", "said"),
        [
            (b"", "not a MusicXML file"),
            (b"<", "not a MusicXML file"),
            (MIDI, "not a MusicXML file"),
            (b"<html/>", "not a MusicXML score"),
            (b"<score-timewise/>", "timewise"),
            (b"<score-partwise/>", "no drum part"),
            (b"<score-partwise>" + b" " * 2_000_000, "2.0 MB"),
            (b"<a>" * 5000, "not a MusicXML file"),
            (b'<?xml version="1.0" encoding="no-such"?><score-partwise/>', "not a MusicXML file"),
            (LAUGHS + b"]><score-partwise>&a9;</score-partwise>", "entities"),
            (
                b'<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]><score-partwise>&x;'
                b"</score-partwise>",
                "entities",
            ),
            (b'<!DOCTYPE s [<!ENTITY % p SYSTEM "http://a.invalid/p">%p;]><score-partwise/>', ""),
            (score(""), "no drum part"),
            (score("<measure/>"), "no drum part"),
            (score(f"<measure>{ATTRIBUTES}{note('hat', grace=True)}</measure>"), "nothing that"),
        ],
    )
    def test_is_refused_in_words(self, data: bytes, said: str) -> None:
        with within(2), pytest.raises(ImportRefused, match=f"(?i){said}"):
            read_musicxml(data)

    @pytest.mark.parametrize(
        ("old", "new", "said"),
        [
            ("<divisions>2<", "<divisions>0<", "into nothing"),
            ("<divisions>2<", "<divisions>1e999999999<", "where a length should stand"),
            ("<duration>1<", "<duration>-1<", "where a length should stand"),
            ("<duration>1<", "<duration>nan<", "where a length should stand"),
            ("<duration>4</duration></backup>", "<duration>9</duration></backup>", "goes back to"),
            ("<display-step>G<", "<display-step>H<", "no step of the scale"),
            ("<display-octave>5<", "<display-octave>99999<", "does not exist"),
            ("<beats>2<", "<beats>0<", "Bar 1 cannot be taken"),
            ("<beat-type>4<", "<beat-type>0<", "Bar 1 cannot be taken"),
            ("<unpitched>", "<nothing>", "not a MusicXML file"),
        ],
    )
    def test_with_nonsense_inside_is_refused_in_words(self, old: str, new: str, said: str) -> None:
        text = two_beats("full").decode()
        assert old in text

        with within(2), pytest.raises(ImportRefused, match=said):
            read_musicxml(text.replace(old, new).encode())

    def test_may_name_the_usual_document_type(self) -> None:
        doctype = (
            b'<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
            b'"http://www.musicxml.org/dtds/partwise.dtd">'
        )
        plain = two_beats("full").split(b"?>", 1)[1]

        assert len(read_musicxml(doctype + plain).figure) == 5

    def test_never_opens_a_file_beside_it(self, tmp_path: Path) -> None:
        secret = tmp_path / "secret.dtd"
        secret.write_text('<!ENTITY title "stolen">')
        data = (
            f'<!DOCTYPE score-partwise SYSTEM "{secret.as_uri()}">'.encode()
            + two_beats("full").split(b"?>", 1)[1]
        )

        assert "stolen" not in repr(read_musicxml(data))

    def test_of_many_notes_is_read_in_good_time(self) -> None:
        bars = "".join(f"<measure>{note('hat') * 4}</measure>" for _ in range(2_000))
        with within(10):
            back = read_musicxml(score(f"<measure>{ATTRIBUTES}</measure>{bars}"))

        assert back.bars_in_file == 2_001

    @given(st.data())
    @settings(max_examples=150)
    def test_spoilt_anyhow_raises_nothing_but_a_refusal(self, data: st.DataObject) -> None:
        said = answer(read_musicxml, spoilt(MUSICXML, data.draw))

        assert said[0].isupper()
        assert said.endswith(".")


class TestCompressed:
    def test_that_unpacks_to_far_too_much_is_refused_quickly(self) -> None:
        bomb = compressed(b" " * 30_000_000)
        assert len(bomb) < 1_000_000

        with within(5), pytest.raises(ImportRefused, match=r"unpacks to more than 8.0 MB"):
            read_musicxml(bomb)

    def test_of_thousands_of_files_is_refused(self) -> None:
        out = BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            for number in range(500):
                archive.writestr(str(number), b"")

        with pytest.raises(ImportRefused, match="far more files"):
            read_musicxml(out.getvalue())

    @pytest.mark.parametrize(
        ("data", "said"),
        [
            (b"PK\x03\x04" + bytes(60), "damaged"),
            (compressed(two_beats("full"))[:-30], "damaged"),
            (compressed(two_beats("full"), container=b"<container/>"), "does not say which"),
            (compressed(b"x", container=b'<c><rootfile full-path="../y"/></c>'), "no score"),
            (compressed(b"PK\x03\x04"), "not a MusicXML file"),
            (compressed(LAUGHS + b"]><score-partwise/>"), "entities"),
            (compressed(b"x", container=LAUGHS + b"]><c/>"), "entities"),
            (compressed(b"x", container=b"<c>" + b" " * 70_000 + b"</c>"), "more than 0.1 MB"),
        ],
    )
    def test_is_refused_in_words(self, data: bytes, said: str) -> None:
        with pytest.raises(ImportRefused, match=said):
            read_musicxml(data)


@pytest.mark.parametrize("packing", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_score_packed_so_that_a_few_bytes_become_millions_is_not_unpacked(packing: int) -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", packing) as archive:
        archive.writestr("META-INF/container.xml", b" " * 1_000_000)

    with pytest.raises(ImportRefused, match="packed in a way that scores are not"):
        read_musicxml(out.getvalue())
