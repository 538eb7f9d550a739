"""What people type into the studio's forms."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from studio.forms import FamilyForm, PositionField, SensibleDateField, StudentForm, StudioForm
from studio.models import Student
from tests.access.studio_expectations import FAMILY_FORM, STUDIO_FORM


class TestPositionField:
    @pytest.mark.parametrize(
        "text",
        [
            "51.897, -8.47",
            "51.897 -8.47",
            "  51.897;-8.47 ",
            "geo:51.897,-8.47",
            # RFC 5870, section 3.3: altitude and parameters may follow.
            "geo:51.897,-8.47,12;crs=wgs84;u=35",
        ],
    )
    def test_reads_a_pasted_pair_and_a_geo_uri(self, text: str) -> None:
        assert PositionField().clean(text) == (Decimal("51.897000"), Decimal("-8.470000"))

    @pytest.mark.parametrize(
        ("text", "word"),
        [
            ("Cork", "not a position"),
            ("51.897", "not a position"),
            ("191.0, -8.4", "wrong way round"),
            ("51.9, -188.4", "wrong way round"),
            ("90, 0", "pole"),
            ("0, 0", "empty sea"),
            ("9" * 5000, "at most 200"),
            ("<script>, 1", "not a position"),
            ("NaN, NaN", "not a position"),
            ("1e3, 2", "not a position"),
        ],
    )
    def test_refuses_what_is_none_and_says_why(self, text: str, word: str) -> None:
        with pytest.raises(ValidationError) as caught:
            PositionField().clean(text)

        assert word in " ".join(caught.value.messages)

    def test_nothing_is_nothing(self) -> None:
        assert PositionField(required=False).clean("") is None


@pytest.mark.parametrize("text", ["9999-12-31", "0001-01-01", "2026-02-30", "soon", "1e9"])
def test_a_date_out_of_all_reason_is_refused(text: str) -> None:
    with pytest.raises(ValidationError):
        SensibleDateField().clean(text)


class TestFamilyForm:
    def test_takes_names_of_any_script(self) -> None:
        form = FamilyForm(FAMILY_FORM | {"name": "Ó Súilleabháin", "adult_name": "Ελένη Żółć"})

        assert form.is_valid(), form.errors

    @pytest.mark.parametrize(
        ("field", "value"),
        [
            ("name", ""),
            ("name", "x" * 121),
            ("adult_email", "not an address"),
            ("first_birth_year", "-5"),
            ("first_birth_year", "1e10"),
            ("position", "north"),
            ("name", "nul\x00byte"),
        ],
    )
    def test_says_at_the_field_what_is_wrong(self, field: str, value: str) -> None:
        form = FamilyForm(FAMILY_FORM | {field: value})

        assert not form.is_valid()
        assert field in form.errors


@pytest.mark.django_db
def test_nobody_leaves_before_the_first_lesson() -> None:
    form = StudentForm(
        {"name": "F", "kit": "pad", "started_date": "2026-09-07", "left_date": "2026-09-01"},
        instance=Student(),
    )

    assert not form.is_valid()
    assert "left_date" in form.errors


@pytest.mark.django_db
class TestStudioForm:
    @pytest.mark.parametrize(
        ("field", "value"),
        [
            ("currency", "EURO"),
            ("currency", "XYZ"),
            ("time_zone", "Cork"),
            ("time_zone", "../../etc/passwd"),
            ("country", "Ireland"),
            ("country", "QQ"),
            ("locale", "xx_YY"),
            ("paper", "A0"),
        ],
    )
    def test_refuses_what_no_standard_knows(self, field: str, value: str) -> None:
        form = StudioForm(STUDIO_FORM | {field: value})

        assert not form.is_valid()
        assert field in form.errors

    def test_keeps_one_studio_with_its_base(self) -> None:
        for name in ("First", "Second"):
            form = StudioForm(STUDIO_FORM | {"name": name, "base_position": "51.897, -8.47"})
            assert form.is_valid(), form.errors
            studio = form.save()

        assert studio.pk == 1
        assert studio.base is not None
        assert studio.base.position == (51.897, -8.47)
