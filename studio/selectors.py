"""What the studio's pages read."""

from __future__ import annotations

from django.db.models import Case, Count, F, Q, QuerySet, When
from django.db.models.functions import Lower

from studio.models import Family, MailStatus, OutgoingEmail, Student, User


def families_for_list(*, user: User, search: str = "") -> QuerySet[Family]:
    """Return families with their homes, students and how many of those take lessons now."""
    found = Family.objects.visible_to(user)
    if search:
        found = found.filter(
            Q(name__icontains=search)
            | Q(students__name__icontains=search)
            | Q(adults__name__icontains=search)
        ).distinct()
    return (
        found.select_related("home")
        .annotate(
            active_students=Count(
                "students", filter=Q(students__left_date__isnull=True), distinct=True
            )
        )
        .prefetch_related("students", "adults")
        .order_by(Lower("name"), "pk")
    )


def students_for_list(*, user: User, search: str = "") -> QuerySet[Student]:
    """Return students with their families, active ones first."""
    found = Student.objects.visible_to(user)
    if search:
        found = found.filter(Q(name__icontains=search) | Q(family__name__icontains=search))
    here_first = F("left_date").desc(nulls_first=True)
    return found.select_related("family").order_by(here_first, Lower("name"), "pk")


def mail_for_list() -> QuerySet[OutgoingEmail]:
    """Return the newest 200 messages, those given up first."""
    failed_first = Case(When(status=MailStatus.FAILED, then=0), default=1)
    return OutgoingEmail.objects.order_by(failed_first, "-pk").prefetch_related("attachments")[:200]
