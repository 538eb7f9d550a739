"""How the studio writes its invoices: one row."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from stdnum import bic as bic_number
from stdnum import iban as iban_number
from stdnum.exceptions import InvalidComponent
from stdnum.exceptions import ValidationError as NumberProblem
from stdnum.iso7064 import mod_97_10

from billing.charging.charges import MissedPolicy
from billing.charging.errors import BadReference
from billing.charging.numbering import check_prefix
from billing.charging.totals import Tax, TaxCategory

_PERCENT = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))]


class TaxKind(models.TextChoices):
    """How lessons are taxed, by the codes of EN 16931 in words."""

    EXEMPT = "exempt", "Exempt from tax, for the reason below"
    STANDARD = "standard", "Taxed at the percentage below"
    ZERO = "zero", "Taxed at nothing (zero-rated)"
    NOT_SUBJECT = "not_subject", "Not subject to tax (small business, for instance)"

    @property
    def category(self) -> TaxCategory:
        """The code that computing and documents use."""
        return {
            TaxKind.EXEMPT: TaxCategory.EXEMPT,
            TaxKind.STANDARD: TaxCategory.STANDARD,
            TaxKind.ZERO: TaxCategory.ZERO,
            TaxKind.NOT_SUBJECT: TaxCategory.NOT_SUBJECT,
        }[self]


def check_iban(text: str) -> None:
    """Refuse what is not an account number by ISO 13616.

    A number whose check digits are right but whose bank is on no list we have is let through:
    lists of banks are older than banks.
    """
    try:
        iban_number.validate(text)
    except InvalidComponent:
        compact = iban_number.compact(text)
        if mod_97_10.is_valid(compact[4:] + compact[:4]):
            return
        raise ValidationError(_NOT_AN_IBAN) from None
    except NumberProblem:
        raise ValidationError(_NOT_AN_IBAN) from None


_NOT_AN_IBAN = "This is not an IBAN: a letter or digit is wrong or missing. Copy it from your bank."


def check_bic(text: str) -> None:
    """Refuse what does not look like a bank's code by ISO 9362."""
    try:
        bic_number.validate(text)
    except NumberProblem:
        raise ValidationError("This is not a BIC: it has 8 or 11 letters and digits.") from None


def check_number_prefix(text: str) -> None:
    """Refuse a prefix that would not fit in a payment reference."""
    try:
        check_prefix(text)
    except BadReference as problem:
        raise ValidationError(str(problem)) from None


class BillingSettings(models.Model):
    """Who the invoice is from, where to pay, how it is taxed, what a missed lesson costs."""

    invoice_name = models.CharField("name on invoices", max_length=120, blank=True)
    invoice_address = models.TextField("address on invoices", max_length=500, blank=True)
    tax_number = models.CharField("tax or VAT number", max_length=40, blank=True)
    iban = models.CharField("IBAN", max_length=42, blank=True, validators=[check_iban])
    bic = models.CharField("BIC", max_length=11, blank=True, validators=[check_bic])
    tax_kind = models.CharField(
        "tax on lessons", max_length=12, choices=TaxKind.choices, default=TaxKind.EXEMPT
    )
    tax_percent = models.DecimalField(
        "tax in per cent", max_digits=5, decimal_places=2, default=Decimal(0), validators=_PERCENT
    )
    exempt_reason = models.CharField(
        "why no tax is charged", max_length=200, blank=True, default="Exempt from VAT: tuition"
    )
    payment_days = models.PositiveSmallIntegerField(
        "days to pay", default=14, validators=[MaxValueValidator(120)]
    )
    number_prefix = models.CharField(
        "letters before invoice numbers", max_length=8, blank=True, validators=[check_number_prefix]
    )
    no_show_percent = models.DecimalField(
        "missed without notice, per cent",
        max_digits=5,
        decimal_places=2,
        default=Decimal(100),
        validators=_PERCENT,
    )
    late_percent = models.DecimalField(
        "called off at short notice, per cent",
        max_digits=5,
        decimal_places=2,
        default=Decimal(100),
        validators=_PERCENT,
    )
    charges_travel_if_no_show = models.BooleanField(
        "charge the drive when a lesson was missed without notice", default=True
    )
    charges_travel_if_late = models.BooleanField(
        "charge the drive when a lesson was called off at short notice", default=False
    )
    closing_words = models.CharField(
        "closing words on invoices", max_length=200, blank=True, default="Thank you."
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="billing_settings_only_one"),
            models.CheckConstraint(
                condition=Q(tax_kind__in=TaxKind.values), name="billing_tax_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(tax_percent=0) | Q(tax_kind="standard"),
                name="billing_tax_only_standard",
            ),
        ]

    def __str__(self) -> str:
        return "Billing settings"

    @classmethod
    def current(cls) -> BillingSettings:
        """Return the settings, or unsaved defaults before anybody has looked at them."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)

    @property
    def tax(self) -> Tax:
        """How a lesson is taxed."""
        kind = TaxKind(self.tax_kind)
        has_reason = kind in (TaxKind.EXEMPT, TaxKind.NOT_SUBJECT)
        return Tax(kind.category, self.tax_percent, self.exempt_reason if has_reason else "")

    @property
    def policy(self) -> MissedPolicy:
        """What a missed lesson costs."""
        return MissedPolicy(
            no_show_percent=self.no_show_percent,
            late_percent=self.late_percent,
            charges_travel_if_no_show=self.charges_travel_if_no_show,
            charges_travel_if_late=self.charges_travel_if_late,
        )
