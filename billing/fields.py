"""Form fields for money."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from billing.charging.errors import BadAmount
from billing.charging.money import Currency


class MoneyField(forms.DecimalField):
    """An amount in the studio's currency: never below zero, never finer than its smallest unit.

    ``money`` is set by the form, which knows the currency.
    """

    money: Currency | None = None

    def __init__(self, *, allows_zero: bool = False, **kwargs: Any) -> None:
        self.allows_zero = allows_zero
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        kwargs.setdefault(
            "error_messages", {"invalid": "Write the amount as a number, such as 25 or 25.50."}
        )
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        text = str(value).strip() if value is not None else ""
        if len(text) > 30:
            raise ValidationError("That is too long for an amount of money. Check it.")
        if text.count(",") == 1 and "." not in text and len(text.rpartition(",")[2]) != 3:
            text = text.replace(",", ".")
        amount = super().to_python(text.replace("\u00a0", "").replace(" ", ""))
        return None if amount is None else Decimal(amount)

    def clean(self, value: Any) -> Decimal | None:
        amount: Decimal | None = super().clean(value)
        if amount is None:
            return None
        if amount < 0:
            raise ValidationError(
                "Money cannot be below zero here. Write the amount without a minus."
            )
        if amount == 0 and not self.allows_zero:
            raise ValidationError("Write an amount above zero.")
        if self.money is None:
            return amount
        try:
            return self.money.exact(amount)
        except BadAmount as problem:
            raise ValidationError(str(problem)) from None


class MoneyForm(forms.Form):
    """A form with amounts in one currency, named beside each amount's label."""

    def __init__(self, *args: Any, money: Currency, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.money = money
        bind_currency(self, money)


def bind_currency(form: forms.BaseForm, money: Currency) -> None:
    """Tell a form's money fields which currency they are in."""
    for field in form.fields.values():
        if isinstance(field, MoneyField):
            field.money = money
            field.label = f"{field.label} ({money.code})"
