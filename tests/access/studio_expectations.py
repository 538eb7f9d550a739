"""What the studio's own addresses answer."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.tokens import default_token_generator
from django.utils import timezone

from studio.long_work import work_file
from studio.models import LongWork, MailStatus, OutgoingEmail, User, WorkState
from studio.one_time_links import one_time_path
from tests.access.harness import (
    SIGN_IN,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)

FAMILY_FORM = {
    "name": "Sheehan",
    "adult_name": "Órla Sheehan",
    "adult_email": "orla@example.org",
    "first_student": "Fiadh Sheehan",
}
STUDENT_FORM = {"name": "Fiadh", "kit": "pad"}
STUDIO_FORM = {
    "name": "Copper Lane Drum Room",
    "teacher_name": "Nuala Tierney",
    "currency": "EUR",
    "time_zone": "Europe/Dublin",
    "country": "IE",
    "locale": "en_IE",
    "paper": "A4",
}
_ALL_302 = {"everybody": 302}


def build(cast: Cast) -> None:
    """Add a message that was given up and a link nobody has used."""
    now = timezone.now()
    cast.things.mail = OutgoingEmail.objects.create(
        key="failed",
        to="a@example.org",
        subject="Hello",
        body="Hello",
        status=MailStatus.FAILED,
        retry_at=now,
        created_at=now,
    )
    cast.things.work = _work(cast.teacher, now)
    cast.things.link = one_time_path(cast.adult.user).rstrip("/").rpartition("/")[2]
    cast.things.reset_key = default_token_generator.make_token(cast.adult.user)


def _work(teacher: User, now: datetime) -> LongWork:
    done = LongWork.objects.create(
        kind="nothing",
        title="A book",
        asked_by=teacher,
        asked_at=now,
        state=WorkState.DONE,
        file="access/file",
        file_name="book.pdf",
    )
    path = work_file(done)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"%PDF")
    return done


def work(cast: Cast) -> tuple[int]:
    """The teacher's own long work, done, with its file."""
    return (cast.things.work.pk,)


EXPECTED = [
    Expect(
        "studio:home",
        get={"anonymous": SIGN_IN, "everybody": 302},
        post={"anonymous": SIGN_IN, "everybody": 405},
    ),
    Expect("studio:health", get={"everybody": 200}, post={"everybody": 405}),
    teacher_form("studio:studio_edit", data=lambda cast: STUDIO_FORM),
    teacher_page("studio:mail_list"),
    teacher_page("studio:work_list"),
    teacher_page("studio:work_show", work),
    teacher_page("studio:work_take", work),
    teacher_action("studio:work_end", work),
    teacher_action("studio:work_begin_again", work),
    teacher_action("studio:mail_again", lambda cast: (cast.things.mail.pk,)),
    teacher_page("studio:family_list"),
    teacher_form("studio:family_create", data=lambda cast: FAMILY_FORM),
    teacher_page("studio:family_detail", lambda cast: (cast.family.pk,)),
    teacher_form(
        "studio:family_edit", lambda cast: (cast.family.pk,), data=lambda cast: {"name": "New"}
    ),
    teacher_form(
        "studio:student_create", lambda cast: (cast.family.pk,), data=lambda cast: STUDENT_FORM
    ),
    teacher_form(
        "studio:adult_create", lambda cast: (cast.family.pk,), data=lambda cast: {"name": "New"}
    ),
    teacher_form(
        "studio:adult_edit", lambda cast: (cast.adult.pk,), data=lambda cast: {"name": "New"}
    ),
    teacher_page("studio:student_list"),
    teacher_page("studio:student_detail", lambda cast: (cast.student.pk,)),
    teacher_form(
        "studio:student_edit", lambda cast: (cast.student.pk,), data=lambda cast: STUDENT_FORM
    ),
    teacher_form(
        "studio:student_sign_in", lambda cast: (cast.student.pk,), done=200, data=lambda cast: {}
    ),
    teacher_form("studio:adult_sign_in", lambda cast: (cast.adult.pk,), data=lambda cast: {}),
    teacher_form(
        "studio:place_edit",
        lambda cast: (cast.family.home_id,),
        data=lambda cast: {"name": "Home", "position": "51.9, -8.4"},
    ),
    Expect(
        "studio:family_home",
        get={
            "anonymous": SIGN_IN,
            "teacher": 403,
            "this_student": 403,
            "other_student": 403,
            "this_parent": 200,
            "other_parent": 200,
        },
        post={
            "anonymous": SIGN_IN,
            "everybody": 405,
        },
    ),
    Expect(
        "studio:one_time_link",
        # This parent came in since: their own link is spent.
        lambda cast: (cast.things.link,),
        get={"this_parent": 404, "everybody": 200},
        post={"this_parent": 404, "everybody": 302},
    ),
    # The sign-in library's pages: somebody who is signed in is sent on from the entrance.
    Expect(
        "account_login",
        get={"anonymous": 200, "everybody": 302},
        post={"anonymous": 200, "everybody": 302},
    ),
    Expect(
        "account_logout",
        get={"anonymous": SIGN_IN, "everybody": 200},
        post={"anonymous": SIGN_IN, "everybody": 302},
    ),
    Expect(
        "account_request_login_code",
        get={"anonymous": 200, "everybody": 302},
        post={"anonymous": 200, "everybody": 302},
    ),
    Expect("account_confirm_login_code", get={"everybody": 302}, post={"everybody": 302}),
    # Nobody in the cast has a password yet: they are sent on to choose their first.
    Expect(
        "account_set_password",
        get={"anonymous": SIGN_IN, "everybody": 200},
        post={"anonymous": SIGN_IN, "everybody": 200},
    ),
    Expect(
        "account_change_password",
        get={"anonymous": SIGN_IN, "everybody": 302},
        post={"anonymous": SIGN_IN, "everybody": 302},
    ),
    Expect(
        "account_reauthenticate",
        # Without a password there is nothing to ask for once more.
        get={"anonymous": SIGN_IN, "everybody": 403},
        post={"anonymous": SIGN_IN, "everybody": 403},
    ),
    Expect("account_reset_password", get={"everybody": 200}, post={"everybody": 200}),
    Expect("account_reset_password_done", get={"everybody": 200}, post={"everybody": 405}),
    Expect(
        "account_reset_password_from_key",
        lambda cast: ("0", "made-up"),
        get={"everybody": 200},
        post={"everybody": 200},
    ),
    Expect("account_reset_password_from_key_done", get={"everybody": 200}, post={"everybody": 405}),
    Expect(
        "account_signup",
        get={"anonymous": 200, "everybody": 302},
        post={"anonymous": 200, "everybody": 302},
    ),
    Expect("account_inactive", get={"everybody": 200}, post={"everybody": 405}),
]
