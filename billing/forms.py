"""Forms about money. Each refuses at the field what could not be meant."""

from __future__ import annotations

import uuid
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from stdnum import iban as iban_number

from billing.charging.money import Currency
from billing.fields import MoneyField, MoneyForm, bind_currency
from billing.localised import day_text, money_text, month_text
from billing.models import BillingSettings, Invoice, InvoiceLine, LineKind, PaymentMethod, Rate
from billing.models.settings import TaxKind
from studio.forms import SensibleDateField
from studio.models import Family, Studio


class RateForm(forms.ModelForm):
    """One price from a date on."""

    amount = MoneyField(label="Price", allows_zero=True)
    from_date = SensibleDateField(label="For lessons from")
    until_date = SensibleDateField(
        label="Until", required=False, help_text="Leave empty: it holds until a newer one begins."
    )

    class Meta:
        model = Rate
        fields = ["minutes", "place_kind", "amount", "from_date", "until_date", "family"]
        help_texts = {"family": "Leave empty for everybody. A family's own price comes first."}

    def __init__(self, *args: Any, money: Currency, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        bind_currency(self, money)
        family = self.fields["family"]
        family.queryset = Family.objects.order_by("name", "pk")  # type: ignore[attr-defined]
        family.empty_label = "Everybody"  # type: ignore[attr-defined]
        if self.instance.pk:
            self.initial["amount"] = f"{money.round(self.instance.amount):f}"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("from_date"), cleaned.get("until_date")
        if first and last and last < first:
            self.add_error("until_date", "It ends before it begins. Choose a later day, or none.")
        minutes = cleaned.get("minutes")
        if first and minutes and self._is_there_already(cleaned, first, minutes):
            self.add_error(
                "from_date", "There is a price for these minutes from that day. Change that one."
            )
        return cleaned

    def _is_there_already(self, cleaned: dict[str, Any], first: date, minutes: int) -> bool:
        others = Rate.objects.exclude(pk=self.instance.pk)
        return others.filter(
            minutes=minutes,
            place_kind=cleaned.get("place_kind") or "",
            from_date=first,
            family=cleaned.get("family"),
        ).exists()


class BillingSettingsForm(forms.ModelForm):
    """Who invoices are from, where to pay, tax, and missed lessons."""

    class Meta:
        model = BillingSettings
        fields = [
            "invoice_name",
            "invoice_address",
            "iban",
            "bic",
            "payment_days",
            "number_prefix",
            "closing_words",
            "tax_kind",
            "tax_percent",
            "exempt_reason",
            "tax_number",
            "no_show_percent",
            "charges_travel_if_no_show",
            "late_percent",
            "charges_travel_if_late",
        ]
        widgets = {"invoice_address": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "invoice_name": "Empty: your own name.",
            "invoice_address": "Empty: the address of your teaching room.",
            "iban": "Where families pay to. With a euro account, invoices carry a code that "
            "banking apps read.",
            "number_prefix": "Up to eight letters or digits; empty is fine.",
            "exempt_reason": "Printed on the invoice when no tax is charged.",
            "no_show_percent": "Of the lesson's price. Common practice: 100.",
            "late_percent": "Of the lesson's price. How short “short notice” is, is set with the "
            "lessons. Common practice: 100.",
        }

    def clean_iban(self) -> str:
        return iban_number.compact(self.cleaned_data["iban"] or "").upper()

    def clean_bic(self) -> str:
        return "".join((self.cleaned_data["bic"] or "").split()).upper()

    def clean_number_prefix(self) -> str:
        return (self.cleaned_data["number_prefix"] or "").strip().upper()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        kind, percent = cleaned.get("tax_kind"), cleaned.get("tax_percent")
        if percent is None or kind is None:
            return cleaned
        if kind == TaxKind.STANDARD and percent == 0:
            self.add_error("tax_percent", "Write the percentage, or choose a kind without tax.")
        if kind != TaxKind.STANDARD and percent:
            self.add_error(
                "tax_percent", "Only taxed lessons have a percentage: write 0, or choose “Taxed”."
            )
        if kind == TaxKind.EXEMPT and not cleaned.get("exempt_reason"):
            self.add_error("exempt_reason", "Say why: an exempt invoice must carry the reason.")
        return cleaned


class MonthForm(forms.Form):
    """Which month to draft, issue or send."""

    month = forms.TypedChoiceField(
        coerce=date.fromisoformat,
        error_messages={"invalid_choice": "Choose one of the months in the list."},
    )

    def __init__(
        self, *args: Any, months: list[date], locale: str, initial_month: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["month"]
        field.choices = [  # type: ignore[attr-defined]
            (month.isoformat(), month_text(month, locale)) for month in months
        ]
        field.initial = initial_month.isoformat()


class LineForm(MoneyForm):
    """A fee or a discount on a draft."""

    kind = forms.ChoiceField(
        label="Add",
        choices=[
            (LineKind.FEE.value, "a fee or an item, to pay"),
            (LineKind.DISCOUNT.value, "a discount, taken off"),
        ],
    )
    words = forms.CharField(
        label="What it is for", max_length=200, help_text="Such as: pair of sticks; exam entry."
    )
    student_name = forms.ChoiceField(label="For whom", required=False)
    amount = MoneyField(label="Amount")

    def __init__(self, *args: Any, family: Family, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [(s.name, s.name) for s in family.students.by_name()]
        self.fields["student_name"].choices = [("", "The whole family"), *names]  # type: ignore[attr-defined]


class NoteForm(forms.Form):
    """Words to the family on an invoice."""

    note = forms.CharField(
        label="Words to the family",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class PaymentForm(MoneyForm):
    """Money that came in, or went back."""

    direction = forms.ChoiceField(
        label="What happened",
        choices=[("in", "The family paid"), ("back", "Money went back to the family")],
        initial="in",
    )
    amount = MoneyField(label="Amount")
    paid_date = SensibleDateField(label="On")
    method = forms.ChoiceField(label="How", choices=PaymentMethod.choices)
    invoice = forms.ModelChoiceField(
        label="For",
        queryset=Invoice.objects.none(),
        required=False,
        empty_label="whatever is due longest",
        help_text="What is left over pays the others, then stays on the account.",
    )
    note = forms.CharField(label="Note for yourself", max_length=200, required=False)
    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4, required=False)

    def __init__(
        self, *args: Any, open_invoices: list[Invoice], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["invoice"].queryset = Invoice.objects.filter(  # type: ignore[attr-defined]
            pk__in=[invoice.pk for invoice in open_invoices]
        ).order_by("due_date", "pk")
        self.share_names = {f"share_{invoice.pk}": invoice.pk for invoice in open_invoices}
        for invoice in open_invoices:
            self.fields[f"share_{invoice.pk}"] = MoneyField(
                label=f"For {invoice.number}", required=False, allows_zero=True
            )
            self.fields[f"share_{invoice.pk}"].money = self.money  # type: ignore[attr-defined]

    @property
    def share_fields(self) -> list[forms.BoundField]:
        """The fields that share the amount out by hand, one for each open invoice."""
        return [self[name] for name in self.share_names]

    @property
    def shares(self) -> dict[int, Decimal]:
        """How much goes to which invoice by hand; empty when nobody said."""
        return {
            pk: self.cleaned_data[name]
            for name, pk in self.share_names.items()
            if self.cleaned_data.get(name)
        }

    def clean_paid_date(self) -> date:
        day: date = self.cleaned_data["paid_date"]
        if day > self.today:
            raise ValidationError("That day is still to come. Record it when the money is there.")
        return day


class CreditForm(forms.Form):
    """Which lines of an invoice are taken back."""

    lines = forms.ModelMultipleChoiceField(
        label="Take back",
        queryset=InvoiceLine.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one line."},
    )
    words = forms.CharField(
        label="Why", max_length=300, help_text="Printed on the credit note, for the family."
    )
    bills_again = forms.BooleanField(
        label="These lessons may be billed again",
        required=False,
        help_text="Tick it when the invoice was wrong and a right one follows; leave it for "
        "goodwill.",
    )

    def __init__(self, *args: Any, invoice: Invoice, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["lines"]
        field.queryset = invoice.lines.filter(credited_by__isnull=True).exclude(net=0).in_order()  # type: ignore[attr-defined]
        field.label_from_instance = _LineLabel(studio)  # type: ignore[attr-defined]


class _LineLabel:
    """Says a line in one line."""

    def __init__(self, studio: Studio) -> None:
        self.studio = studio

    def __call__(self, line: InvoiceLine) -> str:
        parts = [
            day_text(line.on_date, self.studio.locale) if line.on_date else "",
            line.student_name,
            line.words,
            money_text(line.net, self.studio.currency, self.studio.locale),
        ]
        return " · ".join(part for part in parts if part)
