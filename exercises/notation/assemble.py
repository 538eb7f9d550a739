"""What was read from a file made into a figure that can be played, with everything said about it.

What four limbs cannot do, or the kit has not got, is exchanged or left out, and each such change is
a sentence in the notes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from exercises.notation.imported import (
    Heard,
    Imported,
    ImportRefused,
    LimbRule,
    Meaning,
    StrokeSource,
)
from exercises.notation.limb_guess import by_moment, foot_for, share_hands
from exercises.rhythm.counting import place_words
from exercises.rhythm.errors import BadFigure
from exercises.rhythm.figure import Figure, Ornament, Stroke
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.playability import SMALLEST_SHARED_CM, refusal
from exercises.rhythm.record import LONGEST_TITLE, checked_title
from exercises.rhythm.surfaces import Piece, Surface

# What a smaller kit has instead (common practice, no source).
_INSTEAD = {
    Surface.SPLASH: Surface.CRASH,
    Surface.CHINA: Surface.CRASH,
    Surface.COWBELL: Surface.RIDE_BELL,
    Surface.MID_TOM: Surface.HIGH_TOM,
    Surface.PAD: Surface.SNARE,
}
_OPEN = (Surface.HI_HAT_OPEN, Surface.HI_HAT_HALF_OPEN)
_MOST_PLACES_NAMED = 4


@dataclass(frozen=True, slots=True)
class Stretch:
    """What the figure is made of besides strokes; see :class:`Imported` for the meanings."""

    meter: Meter
    bars: int
    title: str
    bpm: float | None
    first_bar: int
    bars_in_file: int
    meanings: tuple[Meaning, ...] = ()
    says_meter: bool = True
    says_tempo: bool = True


def imported(heard: Sequence[Heard], stretch: Stretch, kit: Kit, notes: Sequence[str]) -> Imported:
    """Return the import of these strokes.

    Strokes that all know their limb are taken as they are. All others get limbs by rule, and what
    cannot be played is left out.

    :raises ImportRefused: when nothing is left to play
    """
    said = list(notes)
    if not heard:
        raise ImportRefused(
            " ".join(["nothing that a drum set plays was found in these bars.", *said])
        )
    if any(stroke.limb is None for stroke in heard):
        maker = _Maker(stretch, kit)
        shared = maker.shared(heard)
        said += maker.sentences()
        rule = LimbRule.HANDS
    else:
        shared = [(stroke, stroke.limb) for stroke in heard if stroke.limb is not None]
        rule = LimbRule.OURS
    sources = sorted(
        (_source(stroke, limb, rule) for stroke, limb in shared),
        key=lambda source: (source.stroke.onset, LIMBS.index(source.stroke.limb)),
    )
    title = _fit_title(stretch.title)
    strokes = [source.stroke for source in sources]
    try:
        figure = Figure.of(stretch.meter, stretch.bars, strokes, title=title)
    except BadFigure as bad:
        raise ImportRefused(f"these bars do not make a figure: {bad}") from bad
    reason = refusal(figure, kit)
    if reason is not None:
        said.append(f"As it stands nobody can play this: {reason}.")
    return Imported(
        figure=figure,
        sources=tuple(sources),
        notes=tuple(said),
        bpm=stretch.bpm,
        first_bar=stretch.first_bar,
        bars_in_file=stretch.bars_in_file,
        meanings=stretch.meanings,
        says_meter=stretch.says_meter,
        says_tempo=stretch.says_tempo,
    )


def _source(heard: Heard, limb: Limb, rule: LimbRule) -> StrokeSource:
    stroke = Stroke(heard.onset, limb, heard.surface, heard.loudness, heard.ornament)
    if rule is not LimbRule.OURS and limb.is_foot:
        rule = LimbRule.PEDAL
    return StrokeSource(stroke, heard.rule, rule, heard.error_beats)


def _fit_title(title: str) -> str:
    try:
        return checked_title(" ".join(title.split())[:LONGEST_TITLE])
    except BadFigure:
        return ""


class _Maker:
    """Shares strokes out among four limbs and keeps count of what that did not allow."""

    def __init__(self, stretch: Stretch, kit: Kit) -> None:
        self._stretch = stretch
        self._kit = kit
        self._exchanged: Counter[tuple[Surface, Surface]] = Counter()
        self._missing: Counter[Surface] = Counter()
        self._dropped: dict[str, list[Fraction]] = {}

    def shared(self, heard: Sequence[Heard]) -> list[tuple[Heard, Limb]]:
        on_kit = [there for stroke in heard if (there := self._on_kit(stroke)) is not None]
        shared: list[tuple[Heard, Limb]] = []
        hand_moments: list[list[Heard]] = []
        for strokes in by_moment(on_kit).values():
            hands = self._hands([s for s in strokes if not s.surface.by_foot])
            feet = self._feet([s for s in strokes if s.surface.by_foot], hands)
            shared += [(stroke, limb) for limb, stroke in feet.items()]
            if hands:
                hand_moments.append(hands)
        limbs = share_hands(hand_moments, self._kit, bpm=self._stretch.bpm)
        for strokes, chosen in zip(hand_moments, limbs, strict=True):
            shared += zip(strokes, chosen, strict=True)
        return shared

    def sentences(self) -> list[str]:
        said = [
            f"Exchanged: {count} × {old.spoken} became {new.spoken}, because the kit has none."
            for (old, new), count in self._exchanged.items()
        ]
        said += [
            f"Left out: {count} × {surface.spoken}, which is not on the kit."
            for surface, count in self._missing.items()
        ]
        for why, onsets in self._dropped.items():
            said.append(f"{why} ({self._places(onsets)}).")
        return said

    def _places(self, onsets: list[Fraction]) -> str:
        meter, bars = self._stretch.meter, self._stretch.bars
        named = [place_words(meter, onset, bars=bars) for onset in onsets[:_MOST_PLACES_NAMED]]
        more = len(onsets) - len(named)
        return "; ".join(named) + (f"; and {more} more" if more else "")

    def _drop(self, why: str, onset: Fraction) -> None:
        self._dropped.setdefault(why, []).append(onset)

    def _on_kit(self, stroke: Heard) -> Heard | None:
        surface = stroke.surface
        while surface.facts.piece not in self._kit.pieces:
            other = _INSTEAD.get(surface)
            if other is None:
                self._missing[stroke.surface] += 1
                return None
            surface = other
        if surface is stroke.surface:
            return stroke
        self._exchanged[stroke.surface, surface] += 1
        return replace(stroke, surface=surface)

    def _feet(self, strokes: list[Heard], hands: list[Heard]) -> dict[Limb, Heard]:
        is_open = any(stroke.surface in _OPEN for stroke in hands)
        feet: dict[Limb, Heard] = {}
        for stroke in strokes:
            limb = foot_for(stroke, self._kit)
            if limb in feet:
                self._drop("Left out: a second stroke of one pedal at one moment", stroke.onset)
            elif is_open and stroke.surface is Surface.HI_HAT_FOOT:
                self._drop("Left out: the foot shutting a hi-hat struck open", stroke.onset)
            else:
                feet[limb] = replace(stroke, ornament=Ornament.NONE)
        return feet

    def _hands(self, strokes: list[Heard]) -> list[Heard]:
        """At most two strokes that two hands can play at one moment, the loudest ones first."""
        ranked = sorted(strokes, key=lambda s: -s.loudness.level)
        kept: list[Heard] = []
        for stroke in ranked:
            piece = stroke.surface.facts.piece
            if any(other.surface.facts.piece is piece for other in kept) and not self._fits(piece):
                self._drop("Left out: a second stroke on one drum or cymbal", stroke.onset)
            elif len(kept) == 2:
                self._drop("Left out: a third stroke for two hands", stroke.onset)
            else:
                kept.append(stroke)
        if len(kept) == 2 and any(s.ornament is not Ornament.NONE for s in kept):
            self._drop("Left out: grace strokes while the other hand is busy", kept[0].onset)
            kept = [replace(stroke, ornament=Ornament.NONE) for stroke in kept]
        return kept

    def _fits(self, piece: Piece) -> bool:
        return self._kit.where(piece).width >= SMALLEST_SHARED_CM
