"""Money that came in or went back, and which invoices it pays."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING, Self

from django.db import models
from django.db.models import Q

from billing.models.frozen import AppendOnly, AppendOnlyQuerySet
from billing.models.invoices import Invoice
from studio.models import Family, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser


class PaymentMethod(models.TextChoices):
    """How it was paid."""

    BANK = "bank", "Bank transfer"
    CASH = "cash", "Cash"
    CARD = "card", "Card, elsewhere"
    OTHER = "other", "Another way"


class PaymentQuerySet(AppendOnlyQuerySet):
    """Payments."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, their own family's for its adults."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        if user.own_adult is not None:
            return self.filter(family_id=user.own_adult.family_id)
        return self.none()


class Payment(AppendOnly):
    """An amount that came in, or below zero went back.

    A slip is mended by a second row that takes the first back (``reverses``). ``key`` is made with
    the form, so that pressing twice records once.
    """

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=14, decimal_places=4)
    currency = models.CharField(max_length=3)
    paid_date = models.DateField("paid on")
    method = models.CharField("how", max_length=10, choices=PaymentMethod.choices)
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    objects = PaymentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="payment_not_nothing"),
            models.CheckConstraint(
                condition=Q(method__in=PaymentMethod.values), name="payment_method_known"
            ),
            models.CheckConstraint(
                condition=Q(reverses__isnull=True) | Q(amount__lt=0),
                name="payment_reversal_goes_back",
            ),
        ]
        indexes = [models.Index(fields=["family", "paid_date"], name="payment_family_date")]

    def __str__(self) -> str:
        return f"Payment of {self.paid_date:%Y-%m-%d}"

    @property
    def is_money_back(self) -> bool:
        """True for what went back to the family, or was taken back as a slip."""
        return self.amount < 0


class Allocation(AppendOnly):
    """So much of a payment, or of a credit note, pays this invoice.

    Below zero when a payment that paid it turned out to be a slip.
    """

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="allocations")
    payment = models.ForeignKey(
        Payment, null=True, on_delete=models.PROTECT, related_name="allocations"
    )
    credit_note = models.ForeignKey(
        Invoice, null=True, on_delete=models.PROTECT, related_name="spent"
    )
    amount = models.DecimalField(max_digits=14, decimal_places=4)
    allocated_at = models.DateTimeField()

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="allocation_not_nothing"),
            models.CheckConstraint(
                condition=Q(payment__isnull=True, credit_note__isnull=False)
                | Q(payment__isnull=False, credit_note__isnull=True),
                name="allocation_has_one_source",
            ),
        ]
