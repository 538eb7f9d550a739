"""The field that reads a position, and the question that a form asks about an odd one."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from studio.models import Place, PlaceKind
from studio.position_doubts import Degrees, doubt_about
from studio.positions import LONGEST_TEXT, NotAPosition, position_words, read_position

MEANT = "is_position_meant"
# The nearest of so many known places is near enough to tell a slip.
MOST_KNOWN = 200


class PositionField(forms.CharField):
    """A position as people paste it: ``51.897, -8.470``, degrees and minutes, or a ``geo:`` URI.

    Cleans to (latitude, longitude) as decimals with six places (about 10 cm), or None when empty.
    """

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", LONGEST_TEXT)
        kwargs.setdefault(
            "help_text",
            "Latitude, longitude as a telephone or a map shows them: 51.897, -8.470, or "
            "51°53.8′ N 8°28.2′ W, or geo:51.897,-8.470. Leave it empty while you do not know it.",
        )
        super().__init__(**kwargs)

    def clean(self, value: Any) -> tuple[Decimal, Decimal] | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_position(text)
        except NotAPosition as said:
            raise ValidationError(str(said)) from None


class AsksAboutPosition(forms.BaseForm):
    """A form that asks once when its position is odd, and believes the answer.

    The box that says "it is meant so" appears with the question and holds the position that was
    asked about, so that it answers for no other. ``position_of`` names the field; the subclass's
    ``clean`` calls :meth:`ask_about_position`.
    """

    position_of = "position"

    def add_question(self) -> None:
        """Add the box, unseen until it is needed; call it at the end of ``__init__``."""
        self.fields[MEANT] = forms.BooleanField(
            label="The position is right as it stands", required=False, widget=forms.HiddenInput
        )

    def ask_about_position(
        self, *, besides: Place | None = None, zone: ZoneInfo | None = None
    ) -> None:
        """Refuse an odd position with a question unless the box is ticked.

        :param besides: the place whose position is being written, which proves nothing about itself
        :param zone: the studio's own, for the first position of all
        """
        pair = self.cleaned_data.get(self.position_of)
        if pair is None or self.data.get(self.add_prefix(MEANT)) == position_words(pair):
            return
        if besides is not None and pair == (besides.latitude, besides.longitude):
            # It stood there before, so it was meant then.
            return
        hours = None if zone is None else _standard_hours(zone)
        doubt = doubt_about(pair, _known(besides), hours_from_utc=hours)
        if doubt is None:
            return
        self.add_error(
            self.position_of,
            f"{doubt.words} Nothing is kept yet. Correct it, or tick the box to keep it as it is.",
        )
        self.fields[MEANT].widget = forms.CheckboxInput(
            attrs={"value": position_words(pair)}, check_test=_never
        )


def position_text(place: Place | None) -> str:
    """Write a place's position as it can be pasted back."""
    if place is None or place.latitude is None or place.longitude is None:
        return ""
    return position_words((place.latitude, place.longitude))


def _never(_: object) -> bool:
    """The box is empty whenever it is shown, whatever was ticked before."""
    return False


def _known(besides: Place | None) -> list[Degrees]:
    places = Place.objects.exclude(kind=PlaceKind.ONLINE).exclude(latitude=None)
    if besides is not None:
        places = places.exclude(pk=besides.pk)
    rows = places.order_by("pk").values_list("latitude", "longitude")[:MOST_KNOWN]
    return [
        (float(latitude), float(longitude))
        for latitude, longitude in rows
        if latitude is not None and longitude is not None
    ]


def _standard_hours(zone: ZoneInfo) -> float:
    """The zone's hours from UTC without summer time; any year will do."""
    offsets = (datetime(2026, month, 1, tzinfo=zone).utcoffset() for month in (1, 7))
    return min(offset.total_seconds() for offset in offsets if offset is not None) / 3600
