"""What was read from another program's file, put into words and rows for the page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from exercises.forms.importing import AS_READ, LEAVE_OUT, ImportForm
from exercises.kept_files import KeptFile
from exercises.notation.imported import Imported, LimbRule, Meaning, SurfaceRule
from exercises.notation.stretches import MOST_OFFERS, Offer, exactness
from exercises.rhythm.surfaces import Surface

_SURE = {SurfaceRule.OURS, SurfaceRule.GM_KEY, SurfaceRule.CHOSEN}
SURFACE_CHOICES = [
    *((str(surface.value), surface.spoken) for surface in Surface),
    (LEAVE_OUT, "leave it out"),
]


@dataclass(frozen=True, slots=True)
class MeaningRow:
    """One of the file's own words for a surface, with what is chosen for it."""

    meaning: Meaning

    @property
    def picked(self) -> str:
        """The value in the list; empty while the rule's surface stands."""
        if self.meaning.rule is not SurfaceRule.CHOSEN:
            return AS_READ
        surface = self.meaning.surface
        return LEAVE_OUT if surface is None else str(surface.value)

    @property
    def as_read(self) -> str:
        """The first choice in the list: what the rule says."""
        if self.meaning.rule is SurfaceRule.CHOSEN:
            return "as the file was read at first"
        surface = self.meaning.surface
        return "not known: left out" if surface is None else f"{surface.spoken} (as read)"

    @property
    def words(self) -> str:
        """By which rule it was read."""
        if self.meaning.rule is None:
            return "no rule knows it"
        guess = "" if self.meaning.rule in _SURE else " (a guess: please check)"
        return f"{self.meaning.rule.words}{guess}"


@dataclass(frozen=True, slots=True)
class OfferRow:
    """One stretch that could be taken instead."""

    offer: Offer
    is_taken: bool

    @property
    def bars(self) -> str:
        """The bars in words."""
        first, last = self.offer.first_bar, self.offer.last_bar
        return f"{first}" if first == last else f"{first} to {last}"

    @property
    def value(self) -> str:
        """What the row's button sends."""
        return f"{self.offer.first_bar}-{self.offer.last_bar}"

    @property
    def moved(self) -> str:
        """How far strokes were moved, in numbers where the tempo is known."""
        found = self.offer.imported
        if found is None:
            return ""
        if found.mean_error_ms is None or found.worst_error_ms is None:
            return f"{found.mean_error_beats:.3f} / {found.worst_error_beats:.3f} of a beat"
        return f"{found.mean_error_ms:.0f} / {found.worst_error_ms:.0f} ms"

    @property
    def exactness(self) -> str:
        """The same in words."""
        return "" if self.offer.imported is None else exactness(self.offer.imported)


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What was read and what was guessed, before anything is kept, and how to read it again."""

    imported: Imported
    held: KeptFile
    form: ImportForm
    offered: Sequence[Offer]
    carried: Sequence[tuple[str, str]]
    list_from: int
    list_length: int
    surface_choices = SURFACE_CHOICES

    @property
    def stretch(self) -> str:
        """Which bars were taken."""
        first, bars = self.imported.first_bar, self.imported.figure.bars
        taken = f"bar {first}" if bars == 1 else f"bars {first} to {first + bars - 1}"
        return f"{taken} of {self.imported.bars_in_file}"

    @property
    def error(self) -> str:
        """How far strokes were moved onto the grid."""
        found = self.imported
        if found.worst_error_beats < 0.0005:
            return "Every stroke stood exactly on the grid; nothing was moved."
        if found.worst_error_ms is None or found.mean_error_ms is None:
            moved = f"{found.mean_error_beats:.3f} of a beat on average, "
            moved += f"{found.worst_error_beats:.3f} at most"
        else:
            moved = (
                f"{found.mean_error_ms:.0f} ms on average, {found.worst_error_ms:.0f} ms at most"
            )
        return f"Strokes were moved onto the grid by {moved}: {exactness(found)}."

    @property
    def limbs(self) -> list[str]:
        """By which rule the limbs were chosen."""
        counted = Counter(source.limb_rule for source in self.imported.sources)
        return [
            f"{count} stroke{'s' if count > 1 else ''}, limb: {rule.words}"
            + (" (a guess: please check)" if rule is LimbRule.HANDS else "")
            for rule, count in counted.most_common()
        ]

    @property
    def rows(self) -> list[MeaningRow]:
        """The file's own words for surfaces in these bars."""
        return [MeaningRow(meaning) for meaning in self.imported.meanings]

    @property
    def offer_rows(self) -> list[OfferRow]:
        """Other stretches of the file."""
        first, bars = self.imported.first_bar, self.imported.figure.bars
        taken = (first, first + bars - 1)
        return [OfferRow(o, (o.first_bar, o.last_bar) == taken) for o in self.offered]

    @property
    def earlier(self) -> int | None:
        """Where the list before this one starts."""
        if self.list_from <= 1:
            return None
        return max(1, self.list_from - MOST_OFFERS * self.list_length)

    @property
    def later(self) -> int | None:
        """Where the list after this one starts."""
        if not self.offered or self.offered[-1].last_bar >= self.imported.bars_in_file:
            return None
        return self.offered[-1].last_bar + 1
