"""Missed lessons: calling off, judging, making up; and days that go wrong as a whole."""

from __future__ import annotations

import uuid
from datetime import date, datetime, timedelta
from typing import Any, cast

from django import forms

from lessons.forms.fields import AT_HOME, ONLINE, WallTimeField, place_choices
from lessons.models import CalledOffBy, Lesson, MakeUpRight
from lessons.planning.policy import MissedLessonPolicy, Outcome
from lessons.services.booking import online_place
from studio.forms import SensibleDateField
from studio.local_time import local_date
from studio.models import Place, Studio

LONGEST_AWAY_DAYS = 60
MOST_MINUTES_LATE = 180


class CallOffForm(forms.Form):
    """Who called a lesson off, when, and what it counts as."""

    called_off_by = forms.ChoiceField(label="Who calls it off?", choices=CalledOffBy.choices)
    reason = forms.CharField(max_length=200, required=False, help_text="Such as: ill.")
    told_date = SensibleDateField(
        label="Told on", required=False, help_text="Empty: just now. It decides whether it is late."
    )
    told_time = WallTimeField(label="Told at", required=False)
    counts_as = forms.ChoiceField(
        label="Counts as",
        required=False,
        choices=[
            ("", "What the rules say"),
            ("called_off", "Called off in time: not charged, credited if invoiced"),
            ("called_off_late", "Called off late: charged"),
        ],
    )
    make_up = forms.ChoiceField(
        label="To be made up",
        required=False,
        choices=[("", "What the rules say"), ("yes", "Yes"), ("no", "No")],
    )
    overruled_because = forms.CharField(
        label="Otherwise than the rules say, because",
        max_length=200,
        required=False,
        help_text="Needed only if you chose otherwise; it stays with the lesson.",
    )
    is_family_told = forms.BooleanField(label="Tell the family by e-mail", required=False)

    def __init__(
        self,
        *args: Any,
        studio: Studio,
        now: datetime,
        lesson: Lesson | None = None,
        policy: MissedLessonPolicy | None = None,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("initial", {"is_family_told": True, "called_off_by": CalledOffBy.FAMILY})
        super().__init__(*args, **kwargs)
        self.studio, self.now = studio, now
        self.lesson, self.policy = lesson, policy or MissedLessonPolicy()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        day, at = cleaned["told_date"], cleaned["told_time"]
        if at is not None and day is None:
            day = local_date(self.now, self.studio.zone)
        if day is not None and at is None:
            self.add_error("told_time", "Write the time as well; it decides whether it was late.")
            return cleaned
        told_at = self.now
        if day is not None and at is not None:
            # Of a time that the clock shows twice, the first is meant: in the family's favour.
            told_at = datetime.combine(day, at, tzinfo=self.studio.zone)
        if told_at > self.now:
            self.add_error("told_time", "That is still to come.")
        cleaned["told_at"] = told_at
        cleaned["is_make_up_owed"] = {"yes": True, "no": False}.get(cleaned["make_up"])
        self._check_overruling(cleaned)
        return cleaned

    def _check_overruling(self, cleaned: dict[str, Any]) -> None:
        is_mine = cleaned["called_off_by"] == CalledOffBy.TEACHER
        if is_mine and cleaned["counts_as"] == "called_off_late":
            self.add_error("counts_as", "What you call off is never charged.")
        if self.lesson is None or self.errors:
            return
        verdict = self.policy.verdict(
            by="teacher" if is_mine else "family",
            told_at=cleaned["told_at"],
            starts_at=self.lesson.starts_at,
            zone=self.studio.zone,
        )
        outcome = verdict.outcome if is_mine else cleaned["counts_as"] or verdict.outcome
        owed = cleaned["is_make_up_owed"]
        is_otherwise = outcome != verdict.outcome or owed not in (None, verdict.is_make_up_owed)
        if is_otherwise and not cleaned["overruled_because"]:
            self.add_error("overruled_because", f"The rules say: {verdict.words} Say why not.")
        if not is_otherwise:
            cleaned["overruled_because"] = ""


class CountsAsForm(forms.Form):
    """What a missed lesson counts as after all, and why."""

    counts_as = forms.ChoiceField(label="Counts as", choices=[])
    is_make_up_owed = forms.BooleanField(label="It is to be made up", required=False)
    reason = forms.CharField(
        label="Because", max_length=200, help_text="It stays with the lesson, whatever follows."
    )

    def __init__(self, *args: Any, choices: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["counts_as"].choices = choices  # type: ignore[attr-defined]

    def outcome(self) -> Outcome:
        """Return the chosen outcome; call it on a valid form."""
        return cast(Outcome, self.cleaned_data["counts_as"])


class MakeUpWhereForm(forms.Form):
    """Where the make-up is to be: decides which times are free."""

    where = forms.ChoiceField(choices=[])

    def __init__(self, *args: Any, right: MakeUpRight, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.right = right
        self.fields["where"].choices = [  # type: ignore[attr-defined]
            ("same", f"As the missed one: {right.lesson.place.name}"),
            *place_choices(studio),
        ]

    def place(self) -> Place:
        """Return the chosen place; call it on a valid form."""
        where = self.cleaned_data["where"]
        if where == "same":
            return self.right.lesson.place
        if where == AT_HOME:
            return self.right.student.family.home
        if where == ONLINE:
            return online_place()
        return Place.objects.get(pk=int(where))


class MakeUpBookForm(MakeUpWhereForm):
    """A time for the make-up."""

    day = SensibleDateField(label="Date")
    at = WallTimeField(label="Begins at")
    road_reason = forms.CharField(
        label="Book it although the road is too long, because", max_length=200, required=False
    )
    is_family_told = forms.BooleanField(
        label="Tell the family by e-mail", required=False, initial=True
    )

    field_order = ["where", "day", "at", "road_reason", "is_family_told"]


class MakeUpUntilForm(forms.Form):
    """Another last day for a right."""

    expires_on = SensibleDateField(label="To be used by")


class WithdrawForm(forms.Form):
    """Why a right is taken back."""

    reason = forms.CharField(label="Because", max_length=200)


class _PressForm(forms.Form):
    """A form that counts once, however often it is sent."""

    press = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)

    def clean_press(self) -> str:
        # A press without a token counts by itself.
        return str(self.cleaned_data["press"]) or new_press()


class AwayForm(forms.Form):
    """From when until when the teacher is away."""

    first_date = SensibleDateField(label="First day")
    last_date = SensibleDateField(
        label="Last day", required=False, help_text="Empty: one day only."
    )
    from_time = WallTimeField(
        label="From", required=False, help_text="Empty: the whole of each day."
    )
    until_time = WallTimeField(label="Until", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first: date | None = cleaned.get("first_date")
        if first is None or self.errors:
            return cleaned
        last: date = cleaned.get("last_date") or first
        cleaned["last_date"] = last
        if last < first:
            self.add_error("last_date", "The last day is before the first.")
        elif last - first > timedelta(days=LONGEST_AWAY_DAYS):
            self.add_error("last_date", f"At most {LONGEST_AWAY_DAYS} days in one go.")
        begins, ends = cleaned.get("from_time"), cleaned.get("until_time")
        if begins and ends and ends <= begins:
            self.add_error("until_time", "That is before it begins.")
        return cleaned


class ChosenForm(_PressForm):
    """Which of the lessons shown are meant, and the reason that the families read."""

    reason = forms.CharField(
        label="What the families read as the reason", max_length=200, required=False
    )
    lessons = forms.TypedMultipleChoiceField(coerce=int, widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, offered: list[Lesson], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast(forms.TypedMultipleChoiceField, self.fields["lessons"])
        field.choices = [(lesson.pk, lesson.names) for lesson in offered]
        field.error_messages["required"] = "Tick at least one lesson."
        field.error_messages["invalid_choice"] = (
            "One of these lessons is not planned any more. Look again, then press."
        )


class OnlineDayForm(forms.Form):
    """Which day."""

    day = SensibleDateField(label="Day")


class LateForm(_PressForm):
    """How late, and from which lesson on."""

    minutes = forms.IntegerField(
        label="Minutes late",
        min_value=1,
        max_value=MOST_MINUTES_LATE,
        initial=15,
        error_messages={"max_value": f"At most {MOST_MINUTES_LATE}: call lessons off instead."},
    )
    first = forms.TypedChoiceField(label="From this lesson on", coerce=int, choices=[])
    reason = forms.CharField(
        label="What the families read as the reason", max_length=200, required=False
    )

    def __init__(self, *args: Any, rest: list[Lesson], studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["first"].choices = [  # type: ignore[attr-defined]
            (lesson.pk, f"{lesson.starts_at.astimezone(studio.zone):%H:%M} {lesson.names}")
            for lesson in rest
        ]


class ApologyForm(forms.Form):
    """Words to those who were told."""

    words = forms.CharField(
        label="What they read",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 4}),
        initial=(
            "I am sorry for the confusion: what I wrote before does not hold any more. "
            "These lessons are as follows:"
        ),
    )


def new_press() -> str:
    """Return a token for one showing of a form."""
    return uuid.uuid4().hex
