"""Positions as people paste them: a pair of numbers, degrees and minutes, or a ``geo:`` URI.

A position that could be read in two ways is never guessed: it is refused with the question in it.
Whether a position that was read is where anybody would drive is another matter
(:mod:`studio.position_doubts`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from urllib.parse import unquote

Pair = tuple[Decimal, Decimal]

# A position less sure than this says nothing about a road: common practice, no source.
ROUGH_METRES = 1000
LONGEST_TEXT = 200
_PLACES = Decimal("0.000001")

_NUMBER = r"[0-9]{1,3}(?:\.[0-9]{1,15})?"
_TOKEN = re.compile(
    rf"(?P<number>[-+]?{_NUMBER})|(?P<letter>[NSEW])(?![A-Z])|(?P<mark>[°'\"])|(?P<comma>[,;/])|(?P<space>\s+)"
)
# The letters that stand for both east and west in other languages are asked about, not guessed.
_DOUBTFUL_LETTER = re.compile(r"\b[OL]\b")
_NAMES = re.compile(r"\b(LATITUDE|LONGITUDE|LAT|LONG|LON|LNG)\b\.?\s*[:=]?")
_ALIKE = str.maketrans(
    {
        "−": "-", "–": "-", "‐": "-", "‑": "-", "º": "°", "˚": "°", "′": "'", "’": "'", "‘": "'",
        "ʹ": "'", "″": '"', "”": '"', "“": '"', "ʺ": '"', "\u00a0": " ", "\u202f": " ",
        "(": " ", ")": " ", "[": " ", "]": " ",
    }
)  # fmt: skip
# Two numbers with decimal commas: "51,897 -8,470" or "51,897; -8,470".
_COMMAS = re.compile(
    r"^\s*([-+]?[0-9]{1,3}),([0-9]{1,15})\s*[;/\s]\s*([-+]?[0-9]{1,3}),([0-9]{1,15})\s*$"
)
# RFC 5870, section 3.3: num, optional altitude, parameters with crs first and u second.
_GEO = re.compile(
    r"^geo:(?P<a>-?[0-9]{1,9}(?:\.[0-9]{1,15})?),(?P<b>-?[0-9]{1,9}(?:\.[0-9]{1,15})?)"
    r"(?:,-?[0-9]{1,9}(?:\.[0-9]{1,15})?)?"
    r"(?P<parameters>(?:;[A-Za-z0-9-]+(?:=(?:[A-Za-z0-9\[\]:&+$_.!~*'()-]|%[0-9A-Fa-f]{2})+)?)*)"
    # Telephones add a query for their own use; the RFC's grammar has none.
    r"(?:\?\S*)?$",
    re.IGNORECASE,
)  # fmt: skip


_NONE = "This is not a position. Paste two numbers in degrees, such as 51.897, -8.470."
_NO_SUCH_PLACE = (
    "No such place: latitude goes from -90 to 90, longitude from -180 to 180. "
    "Are the two the wrong way round?"
)


class NotAPosition(Exception):
    """What was pasted is no position, or could be two; ``str()`` says what to do."""


def read_position(text: str) -> Pair:
    """Return latitude and longitude in degrees, with six decimals (about 10 cm).

    :raises NotAPosition: for anything that is none, or that could be read in two ways
    """
    text = text.strip()
    if len(text) > LONGEST_TEXT:
        raise NotAPosition("This is too long for a position. Paste two numbers in degrees.")
    pair = _geo_uri(text) if text[:4].lower() == "geo:" else _pasted(text)
    return checked_position(*pair)


def position_words(pair: Pair) -> str:
    """Return the pair as it can be pasted back, without needless zeros."""
    return ", ".join(f"{part.quantize(_PLACES):f}" for part in pair)


def checked_position(latitude: Decimal, longitude: Decimal) -> Pair:
    """Return the pair rounded to six decimals.

    :raises NotAPosition: for numbers that are no degrees, the poles, and (0, 0)
    """
    if not (latitude.is_finite() and longitude.is_finite()):
        raise NotAPosition(_NONE)
    if max(abs(latitude), abs(longitude)) > 1000:
        raise NotAPosition(_NO_SUCH_PLACE)
    latitude, longitude = latitude.quantize(_PLACES), longitude.quantize(_PLACES)
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise NotAPosition(_NO_SUCH_PLACE)
    if abs(latitude) == 90 or (
        abs(latitude) < Decimal("0.01") and abs(longitude) < Decimal("0.01")
    ):
        raise NotAPosition(
            "This position is a pole, or the empty sea at 0, 0: most likely a slip. "
            "Leave it empty if you do not know it yet."
        )
    # The date line has two names (RFC 5870, section 3.4.2).
    return latitude, Decimal("180.000000") if longitude == -180 else longitude


def _geo_uri(text: str) -> Pair:
    match = _GEO.match(text)
    if match is None:
        raise NotAPosition(
            "This begins like a geo: address but is not one. It looks like geo:51.897,-8.470."
        )
    values: dict[str, str] = {}
    for place, part in enumerate(match["parameters"].split(";")[1:]):
        name, _, value = part.partition("=")
        name = name.lower()
        if (
            name in values
            or (name == "crs" and place)
            or (name == "u" and place > ("crs" in values))
        ):
            raise NotAPosition(
                "The parts of this geo: address are out of order. "
                "It looks like geo:51.897,-8.470;u=20."
            )
        values[name] = unquote(value)
    if values.get("crs", "wgs84").lower() != "wgs84":
        raise NotAPosition(
            f"This position is measured in “{values['crs'][:30]}”. Only WGS 84 can be read: "
            "degrees as a telephone shows them."
        )
    _refuse_rough(values.get("u"))
    return Decimal(match["a"]), Decimal(match["b"])


def _refuse_rough(text: str | None) -> None:
    """Refuse a position whose own uncertainty, in metres, is too large for a road."""
    if text is None:
        return
    if not re.fullmatch(r"[0-9]{1,9}(?:\.[0-9]{1,15})?", text):
        raise NotAPosition("The uncertainty in this geo: address (u=) is not a number of metres.")
    if Decimal(text) > ROUGH_METRES:
        raise NotAPosition(
            f"This position is only sure to within {Decimal(text):,.0f} m: too rough for a road. "
            "Take it again out of doors, or paste two numbers."
        )


@dataclass(slots=True)
class _Half:
    """One of the two numbers: degrees, minutes, seconds, and the letter that says which it is."""

    parts: list[str]
    marks: list[str]
    letter: str = ""


def _pasted(text: str) -> Pair:
    plain = text.translate(_ALIKE).upper().replace("''", '"')
    if _DOUBTFUL_LETTER.search(plain):
        raise NotAPosition(
            "The letters O and L mean east in some languages and west in others. Write E or W."
        )
    names = [name[:3] for name in _NAMES.findall(plain)]
    plain = _NAMES.sub(" ", plain)
    decimal_commas = _COMMAS.match(plain)
    if decimal_commas:
        a, b, c, d = decimal_commas.groups()
        plain = f"{a}.{b} {c}.{d}"
    elif re.fullmatch(r"\s*[-+]?[0-9]+,[0-9]+\s*", plain):
        raise NotAPosition(
            "This could be one number with a comma or two whole ones. Write both with a point: "
            "51.897, -8.470."
        )
    halves = _halves(plain)
    values = [(_degrees(half), half.letter) for half in halves]
    return _in_order(values, names)


def _halves(plain: str) -> tuple[_Half, _Half]:
    tokens = _tokens(plain)
    numbers = sum(kind == "number" for kind, _ in tokens)
    if numbers not in (2, 4, 6):
        raise NotAPosition(_NONE)
    reader = _Reader(size=numbers // 2, is_letter_after=tokens[0][0] == "number")
    for kind, text in tokens:
        getattr(reader, f"take_{kind}")(text)
    if len(reader.halves) != 2 or reader.letter:
        raise NotAPosition(_NONE)
    return reader.halves[0], reader.halves[1]


@dataclass(slots=True)
class _Reader:
    """Sorts tokens into the two halves; ``letter`` waits for the number that it stands before."""

    size: int
    is_letter_after: bool
    halves: list[_Half] = field(default_factory=list)
    letter: str = ""
    has_comma: bool = False

    @property
    def is_full(self) -> bool:
        """True when the half that was begun has all its numbers."""
        return bool(self.halves) and len(self.halves[-1].parts) == self.size

    def take_number(self, text: str) -> None:
        """Begin a half, or go on with it."""
        if not self.halves or self.is_full:
            self.halves.append(_Half([], [], self.letter))
            self.letter = ""
        self.halves[-1].parts.append(text)

    def take_letter(self, text: str) -> None:
        """Keep a compass letter for the half before or after it."""
        if self.is_letter_after and self.is_full and not self.halves[-1].letter:
            self.halves[-1].letter = text
        elif not self.is_letter_after and not self.letter and (not self.halves or self.is_full):
            self.letter = text
        else:
            raise NotAPosition(_NONE)

    def take_comma(self, _: str) -> None:
        """Only one, and only between the halves."""
        if self.has_comma or len(self.halves) != 1 or not self.is_full:
            raise NotAPosition(_NONE)
        self.has_comma = True

    def take_mark(self, text: str) -> None:
        """A mark follows its number."""
        if not self.halves or len(self.halves[-1].marks) >= len(self.halves[-1].parts):
            raise NotAPosition(_NONE)
        self.halves[-1].marks.append(text)


def _tokens(plain: str) -> list[tuple[str, str]]:
    tokens: list[tuple[str, str]] = []
    at = 0
    while at < len(plain):
        match = _TOKEN.match(plain, at)
        if match is None:
            raise NotAPosition(_NONE)
        at = match.end()
        kind = match.lastgroup or ""
        if kind == "number" and at < len(plain) and plain[at] in ".0123456789":
            raise NotAPosition(_NONE)
        if kind != "space":
            tokens.append((kind, match[0]))
    return tokens


def _degrees(half: _Half) -> Decimal:
    """Return degrees from degrees, minutes and seconds."""
    expected = ["°", "'", '"'][: len(half.parts)]
    if half.marks not in ([], expected, expected[:-1]):
        raise NotAPosition("The marks for degrees, minutes and seconds (° ' \") are out of order.")
    whole, *rest = half.parts
    is_minus = whole.startswith("-")
    if half.letter and whole[0] in "+-":
        raise NotAPosition(
            f"A sign and the letter {half.letter} together could mean either way. Leave one out."
        )
    if rest and ("." in whole or any(part[0] in "+-" for part in rest)):
        raise NotAPosition(_NONE)
    if any("." in part for part in rest[:-1]) or any(Decimal(part) >= 60 for part in rest):
        raise NotAPosition("Minutes and seconds go from 0 to 59. Is one of them a slip?")
    total = abs(Decimal(whole))
    for size, part in zip((60, 3600), rest, strict=False):
        total += Decimal(part) / size
    return -total if is_minus or half.letter in ("S", "W") else total


def _in_order(values: list[tuple[Decimal, str]], names: list[str]) -> Pair:
    (first, first_letter), (second, second_letter) = values
    letters = first_letter + second_letter
    if letters:
        if len(letters) == 2 and (letters[0] in "NS") != (letters[1] in "NS"):
            return (first, second) if letters[0] in "NS" else (second, first)
        raise NotAPosition(
            "Write a letter with both numbers: N or S with one, E or W with the other."
        )
    if names:
        kinds = ["LAT" if name == "LAT" else "LON" for name in names]
        if kinds == ["LAT", "LON"]:
            return first, second
        if kinds == ["LON", "LAT"]:
            return second, first
        raise NotAPosition("Name both numbers, latitude and longitude, or neither.")
    return first, second
