"""What a teacher asks of a ladder, as it stands in the address: kept, left out, how many steps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from exercises.models import Exercise
from exercises.rhythm.ladder_shape import MOST_STOPS
from exercises.searches import LadderShape
from exercises.variants import NoSuchVariant, grown

# Joins the moves of one step; no move's code has it.
JOINT = "~"
Step = tuple[str, ...]
"""The codes of the moves from the core to one step."""


@dataclass(frozen=True, slots=True)
class LadderWishes:
    """Steps named by their moves from the core. ``target`` is the address's own part."""

    target: str
    kept: tuple[Step, ...] = ()
    left_out: tuple[Step, ...] = ()
    steps: int | None = None

    @classmethod
    def read(
        cls, target: str, *, kept: Iterable[str], left_out: Iterable[str], steps: int
    ) -> LadderWishes:
        """Read the address's words; 0 steps means any number.

        :raises NoSuchVariant: for more than can be kept or left out
        """
        found = cls(
            target,
            tuple(dict.fromkeys(tuple(words.split(JOINT)) for words in kept if words)),
            tuple(dict.fromkeys(tuple(words.split(JOINT)) for words in left_out if words)),
            steps or None,
        )
        if max(len(found.kept), len(found.left_out)) > MOST_STOPS:
            raise NoSuchVariant(f"At most {MOST_STOPS} steps can be kept, or left out.")
        return found

    def shape(self, core: Exercise) -> LadderShape:
        """Return the same wishes as figures.

        :raises NoSuchVariant: when a step's moves cannot be made on the core
        """
        return LadderShape(
            stops=tuple(grown(core, codes).figure for codes in self.kept),
            without=tuple(grown(core, codes).figure for codes in self.left_out),
            steps=self.steps,
        )

    @property
    def query(self) -> str:
        """The end of an address that asks for exactly this."""
        words = [("keep", JOINT.join(codes)) for codes in self.kept]
        words += [("drop", JOINT.join(codes)) for codes in self.left_out]
        if self.steps:
            words.append(("steps", str(self.steps)))
        return "&".join(part for part in (self.target, urlencode(words)) if part)

    def with_kept(self, codes: Step) -> LadderWishes:
        """Keep a step, or let go of it."""
        return replace(self, kept=_toggled(self.kept, codes))

    def with_left_out(self, codes: Step) -> LadderWishes:
        """Leave a step out, or take it back; what is left out is not kept."""
        kept = tuple(other for other in self.kept if other != codes)
        return replace(self, kept=kept, left_out=_toggled(self.left_out, codes))

    @property
    def hidden(self) -> list[tuple[str, str]]:
        """What a form that asks for another number of steps must carry along."""
        words = [("keep", JOINT.join(codes)) for codes in self.kept]
        return words + [("drop", JOINT.join(codes)) for codes in self.left_out]


def _toggled(steps: tuple[Step, ...], codes: Step) -> tuple[Step, ...]:
    if codes in steps:
        return tuple(other for other in steps if other != codes)
    return (*steps, codes)
