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
from tests.exercises.notation.midi_files import drum_file
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


def long_take() -> bytes:
    """Thirty bars of quarter notes, the last two on the snare alone; no meter, no tempo."""
    return drum_file(
        (bar * 1920 + beat * 480, key if bar < 28 else 38, 90)
        for bar in range(30)
        for beat, key in enumerate((42, 36, 42, 36))
    )


def looked(client: Client, before: Any, **more: Any) -> Any:
    """The next look at the file of an answer before."""
    held = before.context["held"] if "held" in before.context else before.context["report"].held
    return client.post(reverse("exercises:exercise_import"), {"kept": held.key} | more)


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


class TestLookingAgain:
    """The file is kept for the next look, for one person and half an hour."""

    def test_reads_other_bars_without_the_file(self, teacher: Client) -> None:
        first = sent(teacher, "take.mid", long_take())

        again = looked(teacher, first, take="5-6")

        assert again.status_code == 200
        assert "Read: bars 5 to 6 of 30" in text_of(again)
        assert "imported from MIDI: take" in text_of(again)
        assert not Exercise.objects.exists()

    def test_lists_stretches_and_goes_through_them(self, teacher: Client) -> None:
        first = sent(teacher, "take.mid", long_take())
        listed = [(o.first_bar, o.last_bar) for o in first.context["report"].offered]
        later = looked(teacher, first, list_from=first.context["report"].later)

        assert listed[0] == (1, 2)
        assert len(listed) == 10
        assert 'aria-label="Take bars 3 to 4"' in text_of(first)
        assert "exactly on the grid" in text_of(first)
        assert later.context["report"].offered[0].first_bar == 21
        assert later.context["report"].earlier == 1
        assert "Read: bars 1 to 2 of 30" in text_of(later)

    def test_lists_nothing_for_a_figure_of_our_own(self, teacher: Client) -> None:
        content = midi(read_typed(BACKBEAT), bpm=90, count_in=True)

        assert sent(teacher, "own.mid", content).context["report"].offered == ()

    def test_takes_the_surfaces_that_were_chosen_and_remembers_them(self, teacher: Client) -> None:
        said = "Closed Hi Hat (key 42)"
        chosen = {"said": [said], "means": ["ride"]}
        first = sent(teacher, "take.mid", long_take())

        again = looked(teacher, first, **chosen)
        elsewhere = looked(teacher, again, take="29-30", **chosen)

        assert "hi-hat:" in first.context["form"].initial["typed"]
        assert "hi-hat:" not in again.context["form"].initial["typed"]
        assert '<option value="ride" selected>' in text_of(again)
        # The last bars have no hi-hat, so the choice waits in the page for the next look.
        assert elsewhere.context["report"].carried == [(said, "ride")]
        assert f'name="said" value="{said}"' in text_of(elsewhere)

    def test_asks_for_meter_and_tempo_that_the_file_does_not_say(self, teacher: Client) -> None:
        first = sent(teacher, "take.mid", long_take())
        again = looked(teacher, first, meter="3/4", bpm=70)

        assert 'id="read_meter"' in text_of(first)
        assert 'id="read_bpm"' in text_of(first)
        assert again.context["form"].initial["typed"].startswith("3/4")
        assert again.context["form"].initial["bpm"] == 70
        assert 'id="read_bpm"' not in text_of(sent(teacher, "told.mid", by_another_program()))

    @pytest.mark.parametrize(
        "wrong",
        [
            {"from_bar": "31"},
            {"from_bar": "1", "to_bar": "12"},
            {"meter": "4/0"},
            {"bpm": "99999"},
            {"said": ["x"], "means": ["trombone"]},
            {"said": ["x" * 300], "means": ["ride"]},
            {"said": ["x"] * 400, "means": ["ride"] * 400},
        ],
    )
    def test_keeps_the_file_through_a_mistake(self, teacher: Client, wrong: dict[str, Any]) -> None:
        first = sent(teacher, "take.mid", long_take())

        mistaken = looked(teacher, first, **wrong)
        mended = looked(teacher, mistaken)

        assert mistaken.status_code == 422
        assert "take.mid is still here" in text_of(mistaken)
        assert mistaken.context["form"].errors
        assert mended.status_code == 200

    @pytest.mark.parametrize(
        "key", ["A" * 32, "../../etc/passwd", "x", "A" * 5000, "\x00" * 32, "é" * 32]
    )
    def test_refuses_a_key_that_is_none(self, teacher: Client, key: str) -> None:
        response = teacher.post(
            reverse("exercises:exercise_import"), {"kept": key, "from_bar": "3"}
        )

        assert response.status_code == 422
        assert "no longer here" in text_of(response) or "Try once more" in text_of(response)
        assert 'value="3"' in text_of(response)

    def test_does_not_give_one_persons_file_to_another(self, teacher: Client) -> None:
        first = sent(teacher, "take.mid", long_take())
        other = Client()
        other.force_login(TeacherFactory(), backend=BACKEND)

        response = looked(other, first)

        assert response.status_code == 422
        assert "no longer here" in text_of(response)

    def test_refuses_a_zip_bomb_and_says_so(self, teacher: Client) -> None:
        packed = BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr(
                "META-INF/container.xml",
                '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>',
            )
            archive.writestr("a.xml", b" " * 30_000_000)

        response = sent(teacher, "bomb.mxl", packed.getvalue())

        assert response.status_code == 422
        assert "unpacks to more than 8.0 MB" in text_of(response)
