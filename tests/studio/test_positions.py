"""Positions as people paste them: read, refused or asked, never guessed."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.position_doubts import doubt_about
from studio.positions import NotAPosition, position_words, read_position

CORK = (Decimal("51.897000"), Decimal("-8.470000"))
KNOWN = [(51.897, -8.470)]


def _pair(latitude: str, longitude: str) -> tuple[Decimal, Decimal]:
    return Decimal(latitude), Decimal(longitude)


@pytest.mark.parametrize(
    "text",
    [
        "51.897, -8.47",
        "51.897\t-8.47",
        "51.897/-8.47",
        "(51.897; −8.470)",
        "51,897 -8,470",
        "51,897; -8,470",
        "51.897 N, 8.47 W",
        "n51.897 w8.47",
        "8.47W 51.897N",
        "51°53.82'N 8°28.2'W",
        "N 51 53.82 W 8 28.2",
        "51° 53′ 49.2″ N, 8° 28′ 12″ W",
        "51°53'49.2'' -8°28'12''",
        "lat: 51.897, lon: -8.470",
        "longitude -8.47 latitude 51.897",
    ],
)
def test_many_ways_to_write_one_door(text: str) -> None:
    assert read_position(text) == CORK


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("51,8", "one number with a comma or two"),
        ("51,897, -8,470", "not a position"),
        ("51.897 N 8.47 O", "east in some languages"),
        ("51.897 N -8.47 W", "either way"),
        ("51.897 N 8.47", "letter with both"),
        ("51.897 N 8.47 S", "letter with both"),
        ("lat 51.897 -8.47", "Name both"),
        ("51 75 N 8 28 W", "0 to 59"),
        ("51' 53° N 8 28 W", "out of order"),
        ("51.5 30 N 8 28 W", "not a position"),
        ("51.897.1, 3", "not a position"),
        ("٥١.٨, ٨.٤", "not a position"),
        ("1" * 300, "too long"),
        ("90, 12", "pole"),
        ("-90.0, 12", "pole"),
        ("0.0, 0.0", "empty sea"),
        ("-8.47, 191.0", "wrong way round"),
        ("51.9, -188.47", "wrong way round"),
    ],
)
def test_what_could_be_two_things_or_none_is_refused(text: str, word: str) -> None:
    """Edge case 19: the pole, (0, 0) and numbers that are no degrees are refused in words."""
    with pytest.raises(NotAPosition, match=word):
        read_position(text)


@pytest.mark.parametrize(
    ("uri", "expected"),
    [
        ("geo:13.4125,103.8667", ("13.4125", "103.8667")),
        ("geo:48.2010,16.3695,183", ("48.2010", "16.3695")),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", ("48.198634", "16.371648")),
        ("geo:22.300,-118.44", ("22.3", "-118.44")),
        ("geo:22.3,-118.4400", ("22.3", "-118.44")),
        ("geo:66,30;u=6.500;FOo=this%2dthat", ("66", "30")),
        ("geo:66.0,30;u=6.5;foo=this-that", ("66", "30")),
        ("geo:70,20;foo=1.00;bar=white", ("70", "20")),
        ("geo:47,11;bar=white;foo=blue", ("47", "11")),
        ("geo:22,0;BAR=blue", ("22", "0")),
        ("GEO:51.9,-8.4?z=17", ("51.9", "-8.4")),
    ],
)
def test_the_examples_of_rfc_5870(uri: str, expected: tuple[str, str]) -> None:
    """The examples of RFC 5870, sections 1 and 6.1 to 6.4; the last is a telephone's habit."""
    assert read_position(uri) == _pair(*expected)


@pytest.mark.parametrize(
    ("uri", "word"),
    [
        # Section 6.4: the pole has any longitude. It is valid there, but nobody lives at it.
        ("geo:90,-22.43;crs=WGS84", "pole"),
        ("geo:90,46", "pole"),
        ("geo:323482,4306480;crs=EPSG:32618;u=20", "EPSG:32618"),
        ("geo:51.9,-8.4;crs=nad27", "nad27"),
        ("geo:51.9,-8.4;u=20;crs=wgs84", "out of order"),
        ("geo:51.9,-8.4;foo=1;u=20", "out of order"),
        ("geo:51.9,-8.4;u=20;u=30", "out of order"),
        ("geo:51.9,-8.4;u=far", "not a number"),
        ("geo:51.9,-8.4;u=4000", "too rough"),
        ("geo:51.9;-8.4", "not one"),
        ("geo:+51.9,-8.4", "not one"),
        ("geo:51.9, -8.4", "not one"),
        ("geo:", "not one"),
        ("geo:151.9,-8.4", "wrong way round"),
    ],
)
def test_a_geo_uri_that_cannot_be_a_door(uri: str, word: str) -> None:
    with pytest.raises(NotAPosition, match=word):
        read_position(uri)


def test_the_date_line_has_one_name() -> None:
    """RFC 5870, section 3.4.2: longitudes of 180 and -180 are the same line."""
    assert read_position("-16.8, -180.0") == read_position("-16.8, 180.0")


@given(st.decimals("-89.99", "89.99", places=6), st.decimals("-179.999999", "179.999999", places=6))
def test_what_is_written_is_read_back(latitude: Decimal, longitude: Decimal) -> None:
    if abs(latitude) < 1 and abs(longitude) < 1:
        return

    assert read_position(position_words((latitude, longitude))) == (latitude, longitude)


@given(st.text(max_size=60))
def test_no_text_is_more_than_refused(text: str) -> None:
    with suppress(NotAPosition):
        latitude, longitude = read_position(text)

        assert abs(latitude) < 90
        assert -180 < longitude <= 180


class TestDoubt:
    @pytest.mark.parametrize(
        ("given", "question"),
        [
            (("-8.47", "51.897"), "wrong way round"),
            (("51.897", "8.47"), "minus missing"),
            (("-51.897", "-8.47"), "minus missing"),
            (("8.47", "51.897"), "wrong way round, and a minus"),
        ],
    )
    def test_asks_what_was_meant(self, given: tuple[str, str], question: str) -> None:
        """Edge case 19: swapped latitude and longitude, or a lost minus, is asked about."""
        doubt = doubt_about(_pair(*given), KNOWN)

        assert doubt is not None
        assert question in doubt.words
        assert doubt.instead == CORK

    def test_the_other_side_of_the_date_line_is_asked_about(self) -> None:
        """Edge case 19: 171.53 east is the far side of the earth from 8.47 west."""
        doubt = doubt_about(_pair("51.897", "171.53"), KNOWN)

        assert doubt is not None
        assert "Nobody would drive there" in doubt.words

    def test_neighbours_across_the_date_line_are_neighbours(self) -> None:
        assert doubt_about(_pair("-16.8", "-179.95"), [(-16.8, 179.95)]) is None

    def test_a_town_away_is_no_matter_for_doubt(self) -> None:
        assert doubt_about(_pair("51.8126", "-8.3921"), KNOWN) is None

    def test_the_first_position_of_all_is_held_against_the_clock(self) -> None:
        """Where nothing else is known, 15 degrees of longitude are one hour."""
        swapped = doubt_about(_pair("-8.47", "51.897"), hours_from_utc=0)

        assert swapped is not None
        assert swapped.instead == CORK
        assert doubt_about(CORK, hours_from_utc=0) is None
        # Kashgar keeps Beijing's time, three hours off the sun; Kiritimati is a day ahead.
        assert doubt_about(_pair("39.47", "75.99"), hours_from_utc=8) is None
        assert doubt_about(_pair("1.87", "-157.4"), hours_from_utc=14) is None
        assert doubt_about(CORK) is None
