"""Invoices and credit notes, their lines, and the counter of their numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NoReturn, Self

from django.db import models
from django.db.models import Q

from billing.charging.money import Currency
from billing.charging.totals import Amount, Tax, TaxCategory
from billing.localised import currency_of
from billing.models.frozen import FrozenRow
from studio.models import Family, User

if TYPE_CHECKING:
    from datetime import date

    from django.contrib.auth.models import AnonymousUser


class InvoiceKind(models.TextChoices):
    """Something to pay, or something taken back."""

    INVOICE = "invoice", "Invoice"
    CREDIT_NOTE = "credit_note", "Credit note"


class InvoiceStatus(models.TextChoices):
    """How far it is. Paid and overdue are computed, never stored."""

    DRAFT = "draft", "Draft"
    ISSUED = "issued", "Issued"


class InvoiceQuerySet(models.QuerySet["Invoice"]):
    """Invoices and credit notes."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, what was issued to their own family for its adults."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        if user.own_adult is not None:
            return self.filter(family_id=user.own_adult.family_id, status=InvoiceStatus.ISSUED)
        return self.none()

    def drafts(self) -> Self:
        """What can still be changed."""
        return self.filter(status=InvoiceStatus.DRAFT)

    def issued(self) -> Self:
        """What never changes again."""
        return self.filter(status=InvoiceStatus.ISSUED)

    def invoices(self) -> Self:
        """What is to pay, without credit notes."""
        return self.filter(kind=InvoiceKind.INVOICE)

    def credit_notes(self) -> Self:
        """What was taken back."""
        return self.filter(kind=InvoiceKind.CREDIT_NOTE)

    def update(self, **kwargs: Any) -> NoReturn:
        raise FrozenRow("Invoices are changed one by one, and only while they are drafts.")

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise FrozenRow("Invoices are changed one by one, and only while they are drafts.")

    def delete(self) -> tuple[int, dict[str, int]]:
        if self.filter(status=InvoiceStatus.ISSUED).exists():
            raise FrozenRow("An issued invoice is never deleted: write a credit note.")
        return super().delete()


class Invoice(models.Model):
    """An invoice or credit note. From the moment it is issued nothing about it changes.

    ``snapshot`` is the whole document as it was issued (see ``billing.document``), so that it
    prints the same after a family moves or the studio changes its bank. ``total`` of a credit note
    is above zero; that it lessens the account is its kind's affair.
    """

    kind = models.CharField(max_length=12, choices=InvoiceKind.choices, default=InvoiceKind.INVOICE)
    status = models.CharField(
        max_length=10, choices=InvoiceStatus.choices, default=InvoiceStatus.DRAFT
    )
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="invoices")
    period_start = models.DateField("month")
    credits = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="credit_notes"
    )
    currency = models.CharField(max_length=3)
    note = models.CharField("words to the family", max_length=300, blank=True)
    number = models.CharField(max_length=20, blank=True)
    number_year = models.PositiveSmallIntegerField(null=True, blank=True)
    number_serial = models.PositiveSmallIntegerField(null=True, blank=True)
    issue_date = models.DateField(null=True, blank=True)
    due_date = models.DateField(null=True, blank=True)
    issued_at = models.DateTimeField(null=True, blank=True)
    total = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    snapshot = models.JSONField(null=True, blank=True)

    objects = InvoiceQuerySet.as_manager()
    _was_issued = False

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=InvoiceKind.values), name="invoice_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    status=InvoiceStatus.DRAFT,
                    number="",
                    number_year__isnull=True,
                    number_serial__isnull=True,
                    issued_at__isnull=True,
                )
                | Q(
                    ~Q(number=""),
                    status=InvoiceStatus.ISSUED,
                    number_year__isnull=False,
                    number_serial__isnull=False,
                    issue_date__isnull=False,
                    due_date__isnull=False,
                    issued_at__isnull=False,
                    total__isnull=False,
                    snapshot__isnull=False,
                ),
                name="invoice_draft_or_whole",
            ),
            models.CheckConstraint(
                condition=Q(kind=InvoiceKind.INVOICE, credits__isnull=True)
                | Q(kind=InvoiceKind.CREDIT_NOTE, credits__isnull=False),
                name="invoice_credit_note_names_its_invoice",
            ),
            models.CheckConstraint(
                condition=Q(total__isnull=True) | Q(total__gte=0), name="invoice_not_negative"
            ),
            models.UniqueConstraint(
                fields=["number"], condition=~Q(number=""), name="invoice_number_once"
            ),
            models.UniqueConstraint(
                fields=["number_year", "number_serial"], name="invoice_serial_once"
            ),
            models.UniqueConstraint(
                fields=["family", "period_start"],
                condition=Q(status=InvoiceStatus.DRAFT, kind=InvoiceKind.INVOICE),
                name="invoice_one_draft_a_month",
            ),
        ]
        indexes = [
            models.Index(fields=["family", "status"], name="invoice_family_status"),
            models.Index(fields=["status", "issue_date"], name="invoice_status_date"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number or 'draft'}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self._was_issued:
            raise FrozenRow(f"{self} is issued and never changes: write a credit note.")
        super().save(*args, **kwargs)
        self._was_issued = self.status == InvoiceStatus.ISSUED

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        if self._was_issued:
            raise FrozenRow(f"{self} is issued and never deleted: write a credit note.")
        return super().delete(*args, **kwargs)

    @classmethod
    def from_db(cls, db: str | None, field_names: Any, values: Any, **more: Any) -> Self:
        """Remember what the database said, so that an issued row is known however it is changed."""
        row = super().from_db(db, field_names, values, **more)
        row._was_issued = row.__dict__.get("status") == InvoiceStatus.ISSUED
        return row

    @property
    def is_draft(self) -> bool:
        """True while it can be changed."""
        return self.status == InvoiceStatus.DRAFT

    @property
    def is_credit_note(self) -> bool:
        """True for something taken back."""
        return self.kind == InvoiceKind.CREDIT_NOTE

    @property
    def money(self) -> Currency:
        """The currency that it is written in."""
        return currency_of(self.currency)

    def is_late(self, today: date) -> bool:
        """Return True when it was to be paid before today."""
        return self.due_date is not None and self.due_date < today


class LineKind(models.TextChoices):
    """What a line is for."""

    LESSON = "lesson", "Lesson"
    TRAVEL = "travel", "Travel"
    FEE = "fee", "Fee or item"
    DISCOUNT = "discount", "Discount"
    CREDIT = "credit", "Taken back"


class InvoiceLineQuerySet(models.QuerySet["InvoiceLine"]):
    """Lines."""

    def by_hand(self) -> Self:
        """What the teacher wrote, which redrafting keeps."""
        return self.filter(kind__in=[LineKind.FEE, LineKind.DISCOUNT])

    def from_lessons(self) -> Self:
        """What lessons cost and what is taken back for them, which redrafting writes anew."""
        return self.filter(kind__in=[LineKind.LESSON, LineKind.TRAVEL, LineKind.CREDIT])

    def in_order(self) -> Self:
        """As printed."""
        return self.order_by("position", "pk")

    def update(self, **kwargs: Any) -> NoReturn:
        raise FrozenRow("Lines are written anew, not changed.")

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise FrozenRow("Lines are written anew, not changed.")

    def delete(self) -> tuple[int, dict[str, int]]:
        if self.filter(invoice__status=InvoiceStatus.ISSUED).exists():
            raise FrozenRow("The lines of an issued invoice never change.")
        return super().delete()


class InvoiceLine(models.Model):
    """One line. The names and words are copies: they stay when the student's name changes."""

    invoice = models.ForeignKey(Invoice, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=LineKind.choices)
    on_date = models.DateField(null=True, blank=True)
    lesson = models.ForeignKey(
        "lessons.Lesson", null=True, on_delete=models.PROTECT, related_name="+"
    )
    student = models.ForeignKey(
        "studio.Student", null=True, on_delete=models.PROTECT, related_name="+"
    )
    place = models.ForeignKey("studio.Place", null=True, on_delete=models.PROTECT, related_name="+")
    student_name = models.CharField(max_length=120, blank=True)
    words = models.CharField(max_length=300)
    reason = models.CharField(max_length=200, blank=True)
    net = models.DecimalField("amount", max_digits=14, decimal_places=4)
    tax_category = models.CharField(max_length=1, choices=[(c.value, c.name) for c in TaxCategory])
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2)
    tax_reason = models.CharField(max_length=200, blank=True)
    credits = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="credited_by"
    )

    objects = InvoiceLineQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=LineKind.values), name="line_kind_known"),
            models.UniqueConstraint(fields=["invoice", "position"], name="line_position_once"),
        ]

    def __str__(self) -> str:
        return self.words

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise FrozenRow("A line is written anew, not changed.")
        super().save(*args, **kwargs)

    @property
    def is_by_hand(self) -> bool:
        """True for what the teacher wrote."""
        return self.kind in (LineKind.FEE, LineKind.DISCOUNT)

    @property
    def amount(self) -> Amount:
        """The line as the totals know it."""
        return Amount(
            self.net, Tax(TaxCategory(self.tax_category), self.tax_percent, self.tax_reason)
        )


class InvoiceNumber(models.Model):
    """The last serial given out in a year. Its row is locked while an invoice is being issued."""

    year = models.PositiveSmallIntegerField(unique=True)
    last_serial = models.PositiveSmallIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.year}: {self.last_serial}"
