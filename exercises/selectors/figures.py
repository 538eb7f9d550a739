"""Everything a page tells about one figure."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from exercises.engraving_cache import NotationOptions, lanes_svg, notation_svg, wheel_svg
from exercises.notation.engraving import EngravingError
from exercises.notation.parts_picture import parts_strip
from exercises.notation.playback import playback
from exercises.pictures import part_bar
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import Grade, grade
from exercises.rhythm.kit import Kit
from exercises.rhythm.playability import check
from exercises.rhythm.spoken import words
from exercises.rhythm.top_tempo import TopTempo, top_tempo


@dataclass(frozen=True, slots=True)
class GradePart:
    """One part of the grade with its bar."""

    label: str
    shown: str
    said: str
    bar: SafeString


@dataclass(frozen=True, slots=True)
class FigureSheet:
    """A figure in pictures, words, sound and numbers.

    ``refused`` is the reason in words when nobody could play it; grade and top tempo are then None.
    ``notation`` is None when it could not be engraved: the lanes and the words still say it all.
    """

    figure: Figure
    bpm: int
    notation: SafeString | None
    wheel: SafeString
    lanes_wide: SafeString
    lanes_narrow: SafeString
    said: str
    sound: dict[str, object]
    refused: str
    grade: Grade | None
    top: TopTempo | None
    options: NotationOptions

    @property
    def parts(self) -> list[GradePart]:
        """The grade's parts, the largest first, without those that add nothing."""
        if self.grade is None:
            return []
        counted = [part for part in self.grade.parts if part.points > 0]
        most = max((part.points for part in counted), default=0)
        return [
            GradePart(part.label, f"{part.points:.1f}", part.words, part_bar(part.points, most))
            for part in sorted(counted, key=lambda part: -part.points)
        ]

    @property
    def strip(self) -> SafeString:
        """The grade's parts as one strip, with words; empty when nobody could play the figure."""
        return SafeString("") if self.grade is None else _strip_of(self.grade)

    @property
    def has_sticking(self) -> bool:
        """True when R and L stand under the notes."""
        return self.options.has_sticking(self.figure)

    @property
    def sticking_toggled(self) -> str:
        """The address of the same page with the sticking switched."""
        return self.options.sticking_toggled(self.figure)

    @property
    def is_above_top(self) -> bool:
        """True when its own tempo is faster than anybody could play it."""
        return self.top is not None and self.bpm > self.top.bpm


def figure_sheet(
    figure: Figure, *, bpm: int, kit: Kit, options: NotationOptions | None = None
) -> FigureSheet:
    """Look at a figure from every side."""
    options = options or NotationOptions()
    refused = ""
    graded, top = None, None
    try:
        check(figure, kit)
        graded, top = grade(figure, bpm, kit), top_tempo(figure, kit)
    except RhythmError as no:
        refused = str(no)
    return FigureSheet(
        figure=figure,
        bpm=bpm,
        notation=notation_or_none(figure, options),
        wheel=wheel_svg(figure, size=180),
        lanes_wide=lanes_svg(figure, room="wide"),
        lanes_narrow=lanes_svg(figure, room="narrow"),
        said=words(figure),
        sound=playback(figure, bpm=bpm),
        refused=refused,
        grade=graded,
        top=top,
        options=options,
    )


def parts_svg(figure: Figure, bpm: int, kit: Kit) -> SafeString:
    """Return the parts of a figure's grade as one strip."""
    return _strip_of(grade(figure, bpm, kit))


def _strip_of(graded: Grade) -> SafeString:
    said = ", ".join(f"{part.label} {part.shown}" for part in graded.parts if part.points > 0)
    # Drawn by us from numbers and the engine's own labels.
    return SafeString(parts_strip(graded, label=f"Grade in parts: {said}"))


def notation_or_none(figure: Figure, options: NotationOptions) -> SafeString | None:
    """Return the engraved figure, or None where the engraver cannot draw it."""
    try:
        return notation_svg(figure, options)
    except EngravingError:
        return None
