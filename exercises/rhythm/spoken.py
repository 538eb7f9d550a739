"""A figure in words, moment by moment, for people who listen to a page."""

from __future__ import annotations

from fractions import Fraction

from exercises.rhythm.counting import OTHER_SYLLABLE, place_words, syllable
from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke

_LOUDNESS = {
    Loudness.GHOST: "ghosted ",
    Loudness.SOFT: "soft ",
    Loudness.NORMAL: "",
    Loudness.ACCENT: "accented ",
}
_ORNAMENT = {
    Ornament.NONE: "",
    Ornament.FLAM: " with a flam",
    Ornament.DRAG: " with a drag",
    Ornament.BUZZ: " buzzed",
}


def words(figure: Figure) -> str:
    """Return the whole figure as text, one line per bar.

    Each moment is its count, then who strikes what: "1: right hand hi-hat and right foot bass
    drum; &: right hand hi-hat; 2: ..." A bar in which nothing sounds is said to be silent, one
    that repeats an earlier bar is said to be the same as that.
    """
    bars: list[list[str]] = [[] for _ in range(figure.bars)]
    for onset, strokes in figure.moments():
        count = _count(figure, onset)
        bars[int(onset // figure.meter.bar_beats)].append(f"{count}: {_together(strokes)}")
    lines = ["; ".join(moments) or "silent" for moments in bars]
    if figure.bars == 1:
        return lines[0] + "."
    first = {line: number for number, line in reversed(list(enumerate(lines, 1)))}
    return "\n".join(
        f"Bar {number}. {line if first[line] == number or line == 'silent' else _as(first[line])}."
        for number, line in enumerate(lines, 1)
    )


def _as(bar: int) -> str:
    return f"the same as bar {bar}"


def stroke_words(stroke: Stroke) -> str:
    """Return one stroke in words: "left hand accented snare with a flam"."""
    return (
        f"{stroke.limb.spoken} {_LOUDNESS[stroke.loudness]}{stroke.surface.spoken}"
        f"{_ORNAMENT[stroke.ornament]}"
    )


def _count(figure: Figure, onset: Fraction) -> str:
    said = syllable(figure.meter, onset)
    if said != OTHER_SYLLABLE:
        return said
    # "ta" alone would not tell a listener which of several places is meant.
    return place_words(figure.meter, onset % figure.meter.bar_beats)


def _together(strokes: tuple[Stroke, ...]) -> str:
    *first, last = [stroke_words(stroke) for stroke in strokes]
    return f"{', '.join(first)} and {last}" if first else last
