"""Files from other programs, honest and hostile."""

from __future__ import annotations

import zipfile
from io import BytesIO
from typing import Any

import mido
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from exercises.models import Exercise
from exercises.notation.midi_out import midi
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.typed import read_typed, write_typed
from studio.uploads import LARGEST_UPLOAD_BYTES
from tests.factories.exercises import BACKBEAT, WITH_FOOT
from tests.factories.studio import StudioFactory, TeacherFactory

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
BOMB = (
    '<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(12))
    + "]><score-partwise>&m;</score-partwise>"
).encode()
OUTSIDE = (
    b'<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
    b"<score-partwise><part-list>&x;</part-list></score-partwise>"
)


@pytest.fixture
def teacher(client: Client) -> Client:
    StudioFactory()
    client.force_login(TeacherFactory(), backend=BACKEND)
    return client


def sent(client: Client, name: str, content: bytes, **more: object) -> Any:
    upload = SimpleUploadedFile(name, content)
    return client.post(reverse("exercises:exercise_import"), {"score": upload} | more)


def text_of(response: Any) -> str:
    return str(response.content.decode())


def by_another_program() -> bytes:
    """A drum track played a little off the grid, as a keyboard would record it."""
    song = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    song.tracks.append(track)
    track.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(96)))
    places = sorted(
        [(n * 240 + (7 if n % 2 else 0), 42) for n in range(8)]
        + [(480, 38), (1445, 38), (0, 36), (960, 36)]
    )
    at = 0
    for tick, key in places:
        track.append(mido.Message("note_on", channel=9, note=key, velocity=90, time=tick - at))
        at = tick
    out = BytesIO()
    song.save(file=out)
    return out.getvalue()


class TestImport:
    def test_shows_error_and_guesses_before_anything_is_kept(self, teacher: Client) -> None:
        response = sent(teacher, "take 3.mid", by_another_program())

        page = text_of(response)
        assert response.status_code == 200
        assert "Nothing is kept yet" in page
        assert "ms on average" in page
        assert "a guess: please check" in page
        assert "RH hi-hat" in page or "LH hi-hat" in page
        assert "imported from MIDI: take 3" in page
        assert not Exercise.objects.exists()

    @pytest.mark.parametrize("kind", ["mid", "musicxml"])
    def test_brings_our_own_files_back_as_they_were(self, teacher: Client, kind: str) -> None:
        figure = read_typed(WITH_FOOT)
        content = midi(figure, bpm=90) if kind == "mid" else musicxml(figure, bpm=90)

        page = text_of(sent(teacher, f"figure.{kind}", content))

        assert write_typed(figure).strip().splitlines()[-1] in page
        assert 'value="90"' in page

    def test_reads_a_compressed_score(self, teacher: Client) -> None:
        packed = BytesIO()
        with zipfile.ZipFile(packed, "w") as archive:
            archive.writestr(
                "META-INF/container.xml",
                '<container><rootfiles><rootfile full-path="score.musicxml"/></rootfiles>'
                "</container>",
            )
            archive.writestr("score.musicxml", musicxml(read_typed(BACKBEAT), bpm=84))

        response = sent(teacher, "score.mxl", packed.getvalue())

        assert response.status_code == 200
        assert "RF bass-drum" in text_of(response)

    @pytest.mark.parametrize(
        ("name", "content", "said"),
        [
            ("notes.txt", b"hello", "not a MusicXML or MIDI file by its name"),
            ("empty.mid", b"", "is empty"),
            ("junk.mid", b"\x00\x01\x02" * 50, ""),
            ("junk.musicxml", b"\xff\xfe\x00junk", ""),
            ("junk.mxl", b"PK\x03\x04junk", ""),
            ("bomb.xml", BOMB, ""),
            ("outside.xml", OUTSIDE, ""),
            ("huge.mid", b"MThd" + b"\x00" * (LARGEST_UPLOAD_BYTES + 10), "larger than 2 MB"),
        ],
    )
    def test_refuses_what_is_no_score_at_the_field(
        self, teacher: Client, name: str, content: bytes, said: str
    ) -> None:
        response = sent(teacher, name, content)

        page = text_of(response)
        assert response.status_code == 422
        assert 'id="id_score_error"' in page
        assert said in page
        assert "root:" not in page
        assert not Exercise.objects.exists()

    @pytest.mark.parametrize(
        "wrong",
        [
            {"from_bar": "1", "to_bar": "1000000000"},
            {"from_bar": "1", "to_bar": "0"},
            {"from_bar": "-1"},
            {"from_bar": "x"},
            {"from_bar": "9" * 400},
            {"from_bar": "5", "to_bar": "2"},
            {"from_bar": "1", "to_bar": "9"},
            {"to_bar": "2"},
            {"from_bar": "77"},
            {"take": "1-999999"},
            {"take": "here"},
            {"list_from": "1e9", "from_bar": "77"},
        ],
    )
    def test_refuses_bars_that_are_none(self, teacher: Client, wrong: dict[str, str]) -> None:
        response = sent(teacher, "take.mid", by_another_program(), **wrong)

        assert response.status_code == 422
        page = text_of(response)
        assert "_error" in page or "cannot be read. Try once more" in page
        assert "take.mid is still here" in page

    def test_says_that_a_file_is_missing(self, teacher: Client) -> None:
        response = teacher.post(reverse("exercises:exercise_import"), {})

        assert "Choose a MusicXML or MIDI file." in text_of(response)
