"""The main job from a telephone call to a paid invoice, in a browser, on a phone and at a desk.

Eight steps, each as the person does it: nothing is put into the database behind their backs.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import mido
import pytest
from django.utils import timezone
from playwright.sync_api import expect
from pypdf import PdfReader

from billing.models import Invoice
from exercises.models import Assignment, Exercise, PracticeLog
from lessons.models import Lesson, Series
from studio import services
from studio.models import Family, Student, User
from studio.outbox import outbox_send
from tests.journeys.conftest import Person
from tests.journeys.figures import harbour_walk
from tests.journeys.foreign_files import foreign_midi, foreign_musicxml
from tests.studio.test_outbox import Letterbox, smtp

__all__ = ["smtp"]

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_the_whole_job(
    teacher: Person,
    person: Callable[[User], Person],
    smtp: tuple[Letterbox, int],
    tmp_path: Path,
) -> None:
    owner = User.objects.get(role="teacher")
    family = a_family_rings(teacher)
    a_family_far_away_rings(teacher)
    a_weekly_lesson_is_booked(teacher, family)
    core = a_core_figure_is_entered(teacher)
    figures_come_from_other_programs(teacher, tmp_path)
    kept = it_is_opened_and_a_ladder_is_built(teacher, core)
    it_is_taken_along(teacher, core)
    student = Student.objects.get(name="Síofra Quill")
    steps_are_set_for_the_week(teacher, student, kept)
    account = services.account_for_student(student=student, by=owner, now=timezone.now())
    the_student_practises(person(account))
    the_teacher_sees_it(teacher, student)
    the_lesson_is_marked_and_the_note_sent(teacher, student)
    parent = services.account_for_adult(adult=family.adults.get(), by=owner, now=timezone.now())
    the_parent_reads_the_note(person(parent), smtp[0])
    the_month_is_billed(teacher, family)
    at_home = person(parent)
    the_parent_gets_the_invoice(at_home, smtp[0])
    the_payment_is_written_down(teacher, family)
    at_home.goes_to("/family/")
    at_home.sees("Nothing is owed")
    at_home.pictures("8-paid")


def a_family_rings(teacher: Person) -> Family:
    teacher.goes_to("/families/")
    teacher.presses("A family rang", role="link")
    page = teacher.page
    page.get_by_label("Family’s name").fill("Hennessy-Quill")
    page.get_by_label("Adult’s name").fill("Aoife Hennessy")
    page.get_by_label("Adult’s e-mail").fill("aoife@example.org")
    page.get_by_label("Address").fill("7 Weir Terrace\nBallincollig")
    page.get_by_label("Position of their home").fill("geo:51.8884,-8.5903")
    page.get_by_label("First student’s name").fill("Síofra Quill")
    page.get_by_label("Second student’s name").fill("Tadhg Quill")
    teacher.pictures("1-a-family-rang")
    teacher.presses("Keep this family")
    teacher.sees("Hennessy-Quill is written down")
    main = page.locator("main")
    expect(main).to_contain_text(re.compile(r"\d+(\.\d)? km"))
    expect(main).to_contain_text(re.compile(r"\d+ min"))
    expect(main).to_contain_text(re.compile(r"€4\.00|€8\.00"))
    teacher.pictures("2-the-road")
    return Family.objects.get(name="Hennessy-Quill")


def a_family_far_away_rings(teacher: Person) -> None:
    teacher.goes_to("/families/new/")
    page = teacher.page
    page.get_by_label("Family’s name").fill("Far")
    page.get_by_label("Adult’s name").fill("Somebody Far")
    page.get_by_label("Position of their home").fill("52.2593, -7.1101")
    page.get_by_label("First student’s name").fill("Child Far")
    teacher.presses("Keep this family")
    expect(page.locator("main")).to_contain_text(re.compile("outside", re.IGNORECASE))


def a_weekly_lesson_is_booked(teacher: Person, family: Family) -> None:
    page = teacher.page
    last_week = date.today() - timedelta(days=7)
    teacher.goes_to(f"/families/{family.pk}/")
    teacher.presses("Book a weekly lesson for Síofra Quill", role="link")
    page.get_by_label("Weekday").select_option(str(last_week.weekday()))
    page.get_by_label("Begins at").fill("16:00")
    page.get_by_label("Minutes").fill("30")
    page.get_by_label("Term").select_option(
        label=page.get_by_label("Term").locator("option").nth(1).inner_text()
    )
    page.get_by_label("From").fill(last_week.isoformat())
    teacher.presses("Look at the dates")
    teacher.sees("Half-term break")
    teacher.pictures("3-the-dates")
    teacher.presses("Book ")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Síofra Quill")
    series = Series.objects.get()
    dates = [
        timezone.localtime(at).date() for at in series.lessons.values_list("starts_at", flat=True)
    ]
    closed = date.today() - timedelta(days=date.today().weekday()) + timedelta(weeks=3)
    assert not [day for day in dates if closed <= day < closed + timedelta(days=7)]

    # The brother at the same time: the teacher cannot be there twice.
    teacher.goes_to(f"/families/{family.pk}/")
    teacher.presses("Book a weekly lesson for Tadhg Quill", role="link")
    page.get_by_label("Weekday").select_option(str(last_week.weekday()))
    page.get_by_label("Begins at").fill("16:15")
    page.get_by_label("Term").select_option(
        label=page.get_by_label("Term").locator("option").nth(1).inner_text()
    )
    page.get_by_label("From").fill(last_week.isoformat())
    teacher.presses("Look at the dates")
    teacher.sees("Not free")
    teacher.sees("Síofra")
    teacher.pictures("3-not-free")

    # In the room a quarter of an hour after a lesson in Ballincollig: the road is too long.
    page.get_by_label("Where", exact=True).select_option(label="Copper Lane")
    page.get_by_label("Begins at").fill("16:35")
    teacher.presses("Look at the dates")
    teacher.sees("The road is too long")
    assert Lesson.objects.exclude(series=series).count() == 0


def a_core_figure_is_entered(teacher: Person) -> Exercise:
    page = teacher.page
    teacher.goes_to("/exercises/new/")
    grid = page.get_by_role("grid", name="Limb lanes")
    grid.get_by_label(re.compile("right hand.*1", re.IGNORECASE)).first.click()
    typed = page.get_by_label("The figure, a line for each limb")
    if not typed.is_visible():
        page.locator("summary", has_text=re.compile("typ", re.IGNORECASE)).first.click()
    typed.fill(harbour_walk())
    typed.blur()
    expect(page.locator("#figure-preview svg").first).to_be_visible()
    page.get_by_label("Title").fill("Harbour walk")
    page.get_by_label("Tempo").first.fill("92")
    teacher.pictures("4-the-lanes")
    teacher.presses("Keep it in the library")
    expect(page.get_by_role("heading", level=1)).to_have_text("Harbour walk")
    main = page.locator("main")
    expect(page.locator(".notation svg g.note").first).to_be_attached()
    expect(main).to_contain_text("Top tempo")
    expect(main).to_contain_text("Coordination")
    teacher.pictures("4-the-exercise")
    page.get_by_role("button", name="Play", exact=True).click()
    expect(page.locator("svg g.sounding").first).to_be_attached(timeout=15_000)
    page.get_by_role("button", name=re.compile("^Stop")).click()
    return Exercise.objects.get(title="Harbour walk")


def figures_come_from_other_programs(teacher: Person, tmp_path: Path) -> None:
    page = teacher.page
    for path, title in (
        (foreign_musicxml(tmp_path / "other.musicxml"), "From a score"),
        (foreign_midi(tmp_path / "other.mid"), "From a keyboard"),
    ):
        before = Exercise.objects.count()
        teacher.goes_to("/exercises/import/")
        page.get_by_label("File").set_input_files(path)
        teacher.presses("Read the file")
        teacher.sees("Read:")
        assert Exercise.objects.count() == before, "nothing is kept before it is looked at"
        page.get_by_label("Title").fill(title)
        teacher.pictures(f"4-imported-{path.suffix[1:]}")
        teacher.presses("Keep it in the library")
        expect(page.get_by_role("heading", level=1)).to_have_text(title)
        assert Exercise.objects.count() == before + 1


def it_is_opened_and_a_ladder_is_built(teacher: Person, core: Exercise) -> list[Exercise]:
    page = teacher.page
    teacher.goes_to(f"/exercises/{core.pk}/branches/?depth=3")
    teacher.sees("playable variants")
    teacher.pictures("5-branches")
    page.get_by_role("button", name=re.compile("^Save")).first.click()
    expect(page.get_by_text(re.compile("kept|library", re.IGNORECASE)).first).to_be_visible()
    page.get_by_role("link", name=re.compile("^Use as target")).last.click()
    teacher.sees("one change at a time")
    teacher.pictures("5-the-ladder")
    page.get_by_role("button", name=re.compile("^Hear")).first.click()
    expect(page.get_by_role("button", name=re.compile("^Stop")).first).to_be_visible()
    teacher.presses("Keep all")
    page.wait_for_url(re.compile(r"/ladders/\d+/"))
    kept = list(Exercise.objects.filter(core=core).order_by("pk"))
    assert len(kept) >= 2
    return kept


def it_is_taken_along(teacher: Person, core: Exercise) -> None:
    """The downloads, read by other libraries."""
    request = teacher.page.request
    score = request.get(f"{teacher.address}/exercises/{core.pk}/musicxml/")
    assert score.ok
    assert b"<score-partwise" in score.body()
    sound = request.get(f"{teacher.address}/exercises/{core.pk}/midi/")
    file = mido.MidiFile(file=io.BytesIO(sound.body()))
    keys = {m.note for track in file.tracks for m in track if m.type == "note_on"}
    assert {36, 38, 42} <= keys
    sheet = request.get(f"{teacher.address}/exercises/{core.pk}/sheet/")
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(sheet.body())).pages)
    assert "Harbour walk" in text


def steps_are_set_for_the_week(teacher: Person, student: Student, kept: list[Exercise]) -> None:
    page = teacher.page
    teacher.goes_to(f"/students/{student.pk}/")
    teacher.presses("Assign this week’s steps", role="link")
    for exercise in kept[:2]:
        row = page.locator(".assign-row", has_text=exercise.title).first
        row.get_by_role("checkbox").check()
        row.locator("input[name$=start_bpm]").fill("72")
        row.locator("input[name$=goal_bpm]").fill("84")
    teacher.pictures("6-set-work")
    teacher.presses("Set the ticked work")
    page.wait_for_load_state()
    assert Assignment.objects.filter(student=student, start_bpm=72, goal_bpm=84).count() == 2


def the_student_practises(student: Person) -> None:
    page = student.page
    assert page.url.endswith("/my-week/")
    student.sees("From 72 to 84")
    expect(page.locator(".notation svg g.note").first).to_be_visible()
    student.pictures("6-my-week")
    page.get_by_role("button", name=re.compile("RF|right foot")).first.click()
    page.get_by_label("beats a minute", exact=True).fill("80")
    page.get_by_role("button", name="Play", exact=True).click()
    expect(page.locator("svg g.sounding").first).to_be_attached(timeout=15_000)
    student.pictures("6-playing")
    page.get_by_role("button", name=re.compile("^Stop")).click()
    form = page.locator("#write-it-down")
    form.get_by_label("Minutes").fill("12")
    form.get_by_label(re.compile("clean", re.IGNORECASE)).fill("80")
    student.presses("Write it down")
    page.wait_for_load_state()
    log = PracticeLog.objects.get()
    assert (log.minutes, log.clean_bpm) == (12, 80)
    student.pictures("6-written-down")


def the_teacher_sees_it(teacher: Person, student: Student) -> None:
    teacher.goes_to(f"/students/{student.pk}/")
    curve = teacher.page.locator("section", has=teacher.page.locator("#curves"))
    expect(curve.locator("svg").first).to_be_visible()
    expect(curve).to_contain_text("80")
    teacher.pictures("6-the-curve")


def the_lesson_is_marked_and_the_note_sent(teacher: Person, student: Student) -> None:
    page = teacher.page
    last_week = (date.today() - timedelta(days=7)).isoformat()
    teacher.goes_to(f"/today/?day={last_week}")
    teacher.pictures("7-the-day")
    page.get_by_role("button", name=re.compile("There")).first.click()
    expect(page.get_by_role("button", name=re.compile("There")).first).to_have_attribute(
        "aria-pressed", "true"
    )
    page.get_by_label("Progress note on Síofra Quill").fill(
        "Síofra’s bass drum now sits under the hi-hat. Next: ghost notes."
    )
    teacher.presses("Send to the family")
    expect(page.locator(".slip").first).to_contain_text("sent")
    teacher.pictures("7-note-sent")


def the_parent_reads_the_note(parent: Person, box: Letterbox) -> None:
    outbox_send(now=timezone.now())
    assert any(
        "sits under the hi-hat" in part.get_payload(decode=True).decode()
        for message in box.messages
        for part in message.walk()
        if part.get_content_type() == "text/plain"
    )
    assert parent.page.url.endswith("/family/")
    parent.sees("sits under the hi-hat")
    parent.pictures("7-the-family")


def the_month_is_billed(teacher: Person, family: Family) -> None:
    page = teacher.page
    billed = date.today() - timedelta(days=7)
    teacher.goes_to(f"/money/families/{family.pk}/")
    page.get_by_label("Month", exact=True).select_option(billed.replace(day=1).isoformat())
    teacher.presses("Draft it")
    teacher.sees("Síofra Quill")
    teacher.pictures("8-the-draft")
    teacher.presses("Issue and send")
    page.wait_for_load_state()
    invoice = Invoice.objects.get(family=family)
    assert invoice.number
    teacher.sees("Still to pay")
    teacher.pictures("8-the-invoice")


def the_parent_gets_the_invoice(parent: Person, box: Letterbox) -> None:
    box.messages.clear()
    outbox_send(now=timezone.now())
    (file,) = [
        part.get_payload(decode=True)
        for message in box.messages
        for part in message.walk()
        if part.get_content_type() == "application/pdf"
    ]
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(file)).pages)
    number = Invoice.objects.get().number
    assert str(number) in text
    assert "Síofra Quill" in text
    parent.goes_to("/family/")
    parent.sees("You owe")
    parent.sees(str(number))
    parent.pictures("8-owed")


def the_payment_is_written_down(teacher: Person, family: Family) -> None:
    page = teacher.page
    teacher.goes_to(f"/money/families/{family.pk}/")
    teacher.presses("Record a payment", role="link")
    total = Invoice.objects.get().total
    page.get_by_label("Amount").fill(str(total))
    teacher.presses("Write it down")
    page.wait_for_load_state()
    teacher.goes_to(f"/money/families/{family.pk}/")
    teacher.sees("€0.00")
    teacher.pictures("8-the-account")
