"""Branches, ladders, downloads and fragments of figures and their variants."""

from __future__ import annotations

import json
import re
from contextlib import ExitStack
from html import unescape
from io import BytesIO
from typing import Any
from urllib.parse import urlencode

import mido
import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from exercises import searches
from exercises.models import Exercise, Ladder
from exercises.notation.musicxml_in import read_musicxml
from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.moves.codes import to_code
from exercises.rhythm.moves.menu import menu
from exercises.searches import branches_of
from exercises.variants import grown
from tests.factories.exercises import (
    WITH_FOOT,
    ExerciseFactory,
    LadderFactory,
    LadderStepFactory,
)
from tests.factories.studio import StudioFactory, TeacherFactory

pytestmark = pytest.mark.django_db
# Three changes away from the factory's backbeat.
FAR = """4/4
RH hi-hat:      xxxx xxxx xxxx xxxx
LH snare:       .... X... .... X...
RF bass-drum:   x... .... x.x. ..x.
LF hi-hat-foot: x... x... x... x...
"""
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
JUNK_MOVES = [
    "move=x",
    "move=",
    "move=" + "a" * 500,
    "move=ostinato.RH.ride.8.on.on.on",
    "&".join(["move=swap"] * 40),
    "move=%F0%9F%A5%81",
]


@pytest.fixture
def teacher(client: Client) -> Client:
    StudioFactory(paper="Letter")
    client.force_login(TeacherFactory(), backend=BACKEND)
    return client


def text_of(response: Any) -> str:
    return str(response.content.decode())


def a_code(exercise: Exercise) -> str:
    for move in menu(exercise.figure, FIVE_PIECE):
        try:
            grown(exercise, [to_code(move)])
        except searches.Refused:
            continue
        except ValueError:
            continue
        return to_code(move)
    raise AssertionError("the menu offers nothing")


class TestFragments:
    def test_engraves_for_the_width_asked(self, teacher: Client) -> None:
        address = reverse("exercises:exercise_notation", args=[ExerciseFactory().pk])

        narrow = text_of(teacher.get(address, {"width": "320"}))
        wide = text_of(teacher.get(address, {"width": "900"}))

        assert narrow.strip().startswith("<svg")
        assert narrow != wide

    @pytest.mark.parametrize("width", ["0", "-4", "1e3", "x", "99999999999", "²"])
    def test_refuses_a_width_that_is_none(self, teacher: Client, width: str) -> None:
        address = reverse("exercises:exercise_notation", args=[ExerciseFactory().pk])

        response = teacher.get(address, {"width": width})

        assert response.status_code == 400
        assert "whole number from 240 to 1600" in text_of(response)

    def test_sounds_a_variant_and_a_left_handed_player(self, teacher: Client) -> None:
        exercise = ExerciseFactory()
        address = reverse("exercises:exercise_playback", args=[exercise.pk])

        plain = teacher.get(address).json()
        variant = teacher.get(address, {"move": a_code(exercise)}).json()
        mirrored = teacher.get(address, {"mirror": "1"}).json()

        assert plain["bpm"] == 84
        assert variant["strokes"] != plain["strokes"]
        assert {s["limb"] for s in mirrored["strokes"]} == {"LH", "RH", "LF"}

    @pytest.mark.parametrize("junk", JUNK_MOVES)
    @pytest.mark.parametrize(
        "name", ["exercise_notation", "exercise_playback", "exercise_musicxml", "ladder_build"]
    )
    def test_refuses_junk_moves_in_words(self, teacher: Client, name: str, junk: str) -> None:
        address = reverse(f"exercises:{name}", args=[ExerciseFactory().pk])

        response = teacher.get(f"{address}?{junk}")

        assert response.status_code == 422
        assert "cannot be done" in text_of(response) or "at most" in text_of(response)


class TestDownloads:
    def test_hands_out_musicxml_that_reads_back(self, teacher: Client) -> None:
        exercise = ExerciseFactory(title="Łódź żółw")

        response = teacher.get(reverse("exercises:exercise_musicxml", args=[exercise.pk]))

        assert "attachment" in response["Content-Disposition"]
        assert read_musicxml(b"".join(response.streaming_content)).figure == exercise.figure

    def test_hands_out_midi(self, teacher: Client) -> None:
        exercise = ExerciseFactory()

        response = teacher.get(reverse("exercises:exercise_midi", args=[exercise.pk]))

        song = mido.MidiFile(file=BytesIO(b"".join(response.streaming_content)))
        hits = [m for m in song if m.type == "note_on" and m.velocity]
        assert len(hits) == len(exercise.figure)

    def test_prints_on_the_studios_paper(self, teacher: Client) -> None:
        exercise = ExerciseFactory(title="Harbour walk")

        response = teacher.get(reverse("exercises:exercise_sheet", args=[exercise.pk]))

        page = PdfReader(BytesIO(b"".join(response.streaming_content))).pages[0]
        assert [round(float(side)) for side in page.mediabox[2:]] == [612, 792]
        assert "Harbour walk" in page.extract_text()

    @pytest.mark.parametrize("bpm", ["0", "999", "-1", "x"])
    def test_refuses_a_tempo_that_is_none(self, teacher: Client, bpm: str) -> None:
        address = reverse("exercises:exercise_midi", args=[ExerciseFactory().pk])

        assert teacher.get(address, {"bpm": bpm}).status_code == 400


class TestBranchList:
    def test_orders_by_grade_and_counts_what_was_refused(self, teacher: Client) -> None:
        exercise = ExerciseFactory()
        address = reverse("exercises:branch_list", args=[exercise.pk])

        page = text_of(teacher.get(address, {"side": "all"}))

        points = [points for _, points in branches_of(exercise, 1).ways]
        assert points == sorted(points)
        assert page.count('class="step"') == min(20, len(points))
        assert "changes led nowhere: the reasons" in page
        assert "Use as target" in page

    def test_shows_what_is_harder_unless_asked_otherwise(self, teacher: Client) -> None:
        exercise = ExerciseFactory(grade="3.20")
        harder = [way for way in branches_of(exercise, 1).ways if way[1] >= 3.2]
        address = reverse("exercises:branch_list", args=[exercise.pk])

        page = text_of(teacher.get(address))
        easier = text_of(teacher.get(address, {"side": "easier"}))

        assert f"{len(harder)} of {len(branches_of(exercise, 1).ways)} playable" in page
        assert "Use as target" in page
        assert "Use as target" not in easier

    def test_searches_once(self, teacher: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        address = reverse("exercises:branch_list", args=[ExerciseFactory().pk])
        teacher.get(address)

        def never(*args: object, **kwargs: object) -> None:
            raise AssertionError("searched again")

        monkeypatch.setattr(searches, "branches", never)

        assert teacher.get(address, {"page": "2"}).status_code == 200

    def test_narrows_by_kind_of_change(self, teacher: Client) -> None:
        exercise = ExerciseFactory()
        kind = branches_of(exercise, 1).ways[0][0][0].partition(".")[0]
        of_kind = [w for w in branches_of(exercise, 1).ways if w[0][0].startswith(f"{kind}.")]

        address = reverse("exercises:branch_list", args=[exercise.pk])

        page = text_of(teacher.get(address, {"kind": kind, "side": "all"}))

        assert page.count('class="step"') == min(20, len(of_kind))

    @pytest.mark.parametrize(
        "asked", [{"depth": "4"}, {"depth": "x"}, {"kind": "teleport"}, {"side": "x"}]
    )
    def test_refuses_what_it_does_not_have(self, teacher: Client, asked: dict[str, str]) -> None:
        address = reverse("exercises:branch_list", args=[ExerciseFactory().pk])

        assert teacher.get(address, asked).status_code == 400


class TestVariantSave:
    def test_keeps_a_variant_with_its_moves(self, teacher: Client) -> None:
        core = ExerciseFactory(title="Harbour walk")
        code = a_code(core)

        teacher.post(reverse("exercises:variant_save", args=[core.pk]), {"move": code})

        kept = Exercise.objects.exclude(pk=core.pk).get()
        assert kept.core == core
        assert kept.moves == [code]
        assert kept.title.startswith("Harbour walk: ")
        assert kept.figure == grown(core, [code]).figure

    def test_answers_htmx_where_the_button_stood(self, teacher: Client) -> None:
        core = ExerciseFactory()

        response = teacher.post(
            reverse("exercises:variant_save", args=[core.pk]),
            {"move": a_code(core)},
            headers={"HX-Request": "true"},
        )

        assert "Kept as" in text_of(response)

    def test_keeps_nothing_of_junk(self, teacher: Client) -> None:
        core = ExerciseFactory()

        response = teacher.post(reverse("exercises:variant_save", args=[core.pk]), {"move": "x"})

        assert response.status_code == 422
        assert Exercise.objects.count() == 1


class TestLadder:
    def test_climbs_from_core_to_a_target_of_the_library(self, teacher: Client) -> None:
        core, target = ExerciseFactory(title="Core"), ExerciseFactory(typed=WITH_FOOT, title="Top")
        address = reverse("exercises:ladder_build", args=[core.pk])

        page = text_of(teacher.get(address, {"target": target.pk}))
        teacher.post(
            f"{reverse('exercises:ladder_save', args=[core.pk])}?{urlencode({'target': target.pk})}"
        )

        ladder = Ladder.objects.get()
        assert "The core: Core" in page
        assert ladder.core == core
        assert ladder.target == target
        assert ladder.steps.count() >= 2
        assert page.count("rung-head") == ladder.steps.count()

    def test_says_why_there_is_no_ladder(self, teacher: Client) -> None:
        core = ExerciseFactory()
        waltz = ExerciseFactory(typed="3/4\nRH: x.x. x.x. x.x.\n")

        response = teacher.get(
            reverse("exercises:ladder_build", args=[core.pk]), {"target": waltz.pk}
        )

        assert response.status_code == 422
        assert "No ladder was found: the core is in 4/4" in text_of(response)

    def test_gives_up_a_search_that_takes_too_long(
        self, teacher: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        core, target = ExerciseFactory(), ExerciseFactory(typed=WITH_FOOT)
        monkeypatch.setattr(searches, "LONGEST_SEARCH_SECONDS", 0.01)

        response = teacher.get(
            reverse("exercises:ladder_build", args=[core.pk]), {"target": target.pk}
        )

        assert response.status_code == 422
        assert "no ladder was found in 0.01 seconds" in text_of(response)

    def test_shows_a_variants_own_changes_when_no_ladder_climbs(
        self, teacher: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        core = ExerciseFactory()
        codes = next(way[0] for way in branches_of(core, 2).ways if len(way[0]) == 2)
        monkeypatch.setattr(searches, "LONGEST_SEARCH_SECONDS", 0.01)

        response = teacher.get(
            reverse("exercises:ladder_build", args=[core.pk]), {"move": list(codes)}
        )

        assert response.status_code == 200
        assert "own changes, one after another" in text_of(response)
        assert text_of(response).count("rung-head") == 3

    @pytest.mark.parametrize("target", ["999999", "x", "-1", "9" * 40])
    def test_is_not_there_for_a_target_that_is_not(self, teacher: Client, target: str) -> None:
        address = reverse("exercises:ladder_build", args=[ExerciseFactory().pk])

        assert teacher.get(address, {"target": target}).status_code == 404

    def test_prints_all_steps_of_a_kept_ladder(self, teacher: Client) -> None:
        ladder = LadderFactory(title="Harbour ladder")
        LadderStepFactory(ladder=ladder, position=1, exercise=ladder.core)
        LadderStepFactory(ladder=ladder, position=2, exercise=ladder.target, change="foot on beats")

        response = teacher.get(reverse("exercises:ladder_sheet", args=[ladder.pk]))

        reader = PdfReader(BytesIO(b"".join(response.streaming_content)))
        text = " ".join(page.extract_text() for page in reader.pages)
        assert "Harbour ladder" in text
        assert "foot on beats" in text.lower()

    def test_keeps_leaves_out_and_counts_as_the_address_says(self, teacher: Client) -> None:
        core = ExerciseFactory(title="Core")
        address = reverse("exercises:ladder_build", args=[core.pk])
        target = urlencode({"target": ExerciseFactory(typed=FAR, title="Top").pk})

        plain = text_of(teacher.get(f"{address}?{target}"))
        keep = unescape(re.findall(r'href="(\?[^"]*keep=[^"]*)"', plain)[0])
        drop = unescape(re.findall(r'href="(\?[^"]*drop=[^"]*)"', plain)[0])
        kept = text_of(teacher.get(address + keep + "&steps=1"))
        without = text_of(teacher.get(address + drop))

        assert plain.count("rung-head") >= 3
        assert "Kept: let go" in kept
        assert kept.count("rung-head") == 3
        assert "With the steps that are kept there are 2 changes at least" in kept
        assert "Left out:" in without

    @pytest.mark.parametrize(
        "wish",
        ["steps=25", "steps=-1", "steps=x", "keep=nonsense", "drop=" + "a" * 600, "keep=a&" * 9],
    )
    def test_refuses_wishes_that_make_no_sense(self, teacher: Client, wish: str) -> None:
        core, target = ExerciseFactory(), ExerciseFactory(typed=WITH_FOOT)
        address = reverse("exercises:ladder_build", args=[core.pk])

        assert teacher.get(f"{address}?target={target.pk}&{wish}").status_code in (400, 422)

    def test_a_search_that_took_too_long_is_not_begun_again_at_once(
        self, teacher: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        core, target = ExerciseFactory(), ExerciseFactory(typed=WITH_FOOT)
        address = reverse("exercises:ladder_build", args=[core.pk])
        monkeypatch.setattr(searches, "LONGEST_SEARCH_SECONDS", 0.01)
        teacher.get(address, {"target": target.pk})
        monkeypatch.setattr(searches, "_asked_elsewhere", lambda question: 1 / 0)

        again = teacher.get(address, {"target": target.pk})

        assert again.status_code == 422
        assert "no ladder was found in 0.01 seconds" in text_of(again)

    def test_only_a_few_search_at_once(self, teacher: Client) -> None:
        core, target = ExerciseFactory(), ExerciseFactory(typed=WITH_FOOT)
        address = reverse("exercises:ladder_build", args=[core.pk])

        with ExitStack() as places:
            for _ in range(searches.MOST_SEARCHES):
                places.enter_context(searches.one_of_few_searches())
            busy = teacher.get(address, {"target": target.pk})
        free = teacher.get(address, {"target": target.pk})

        assert busy.status_code == 422
        assert "other ladders are being looked for" in text_of(busy)
        assert free.status_code == 200

    def test_puts_a_ladder_away_and_keeps_its_steps(self, teacher: Client) -> None:
        ladder = LadderFactory()

        teacher.post(reverse("exercises:ladder_archive", args=[ladder.pk]))

        assert not Ladder.objects.current().exists()
        assert Exercise.objects.current().count() == 2


def test_the_ladder_worker_answers_without_django() -> None:
    from exercises.ladder_worker import answer
    from exercises.rhythm.record import to_record
    from exercises.rhythm.typed import read_typed
    from tests.factories.exercises import BACKBEAT

    question = {
        "core": to_record(read_typed(BACKBEAT)),
        "target": to_record(read_typed(WITH_FOOT)),
        "kit": "five_piece",
        "bpm": 84,
    }

    found = json.loads(json.dumps(answer(question)))
    same = answer(question | {"target": question["core"]})

    assert found["rungs"][0]["codes"] == []
    assert found["rungs"][-1]["record"]["strokes"] == question["target"]["strokes"]
    assert "same figure" in same["refused"]


def test_the_ladder_worker_uses_a_way_that_is_known() -> None:
    from exercises.ladder_worker import answer
    from exercises.rhythm.library import BY_SLUG
    from exercises.rhythm.moves.codes import from_code
    from exercises.rhythm.record import to_record

    core = BY_SLUG["flams-round-the-toms"]
    way = ["accents.LH.2-x", "stick.RLRLRRLRLRLL.hands.R"]
    target = core.figure
    for code in way:
        target = from_code(code).apply(target, core.kit)
    question = {
        "core": to_record(core.figure),
        "target": to_record(target),
        "kit": core.kit_key,
        "bpm": core.bpm,
    }

    unaided = answer(question)
    aided = answer(question | {"way": way})

    assert "no way" in unaided["refused"]
    assert aided["rungs"][-1]["record"]["strokes"] == question["target"]["strokes"]
    assert [way[1]] in [rung["codes"] for rung in aided["rungs"]]
