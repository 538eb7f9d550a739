"""Ladders as a page shows them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.safestring import SafeString

from exercises.engraving_cache import NotationOptions, wheel_svg
from exercises.ladder_wishes import LadderWishes
from exercises.models import Exercise, Ladder, LadderStep
from exercises.notation.playback import playback
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.spoken import words
from exercises.searches import NO_WISHES, FoundRung, LadderShape, ladder_to, way_by_moves
from exercises.selectors.figures import notation_or_none, parts_svg
from exercises.services.ladders import Rung
from exercises.variants import MOST_MOVES, NoSuchVariant, grown, moves_query, variant_title

_WORTH_SHOWING = 2


@dataclass(frozen=True, slots=True)
class ShownStep:
    """One step of a ladder, kept or only found.

    ``exercise`` is the library's own when the step is kept; ``query`` names the moves from the
    core in an address, and is empty where the core had to be written out first.
    """

    position: int
    figure: Figure
    change: str
    points: float
    rise: float
    wheel: SafeString
    parts: SafeString
    notation: SafeString | None
    sound: dict[str, object]
    exercise: Exercise | None
    codes: tuple[str, ...]
    query: str
    is_kept: bool = False
    keep_query: str = ""
    drop_query: str = ""

    @property
    def shown_grade(self) -> str:
        """The grade with one decimal."""
        return f"{self.points:.1f}"

    @property
    def shown_rise(self) -> str:
        """How much harder than the step below."""
        return f"{self.rise:+.1f}"

    @property
    def said(self) -> str:
        """The figure in words."""
        return words(self.figure)

    @property
    def rung(self) -> Rung:
        """The step as the service keeps it."""
        return Rung(self.figure, self.codes if self.query else (), self.change)


def shaped_steps(steps: Sequence[ShownStep], wishes: LadderWishes) -> list[ShownStep]:
    """Return the steps with the addresses that keep each, or leave it out.

    The two ends stay in any case, and a step that no moves of the core name can be neither.
    """
    shown = []
    for step in steps:
        is_between = 1 < step.position < len(steps)
        if not is_between or not step.query:
            shown.append(step)
            continue
        shown.append(
            replace(
                step,
                is_kept=step.codes in wishes.kept,
                keep_query=wishes.with_kept(step.codes).query,
                drop_query=wishes.with_left_out(step.codes).query,
            )
        )
    return shown


@dataclass(frozen=True, slots=True)
class FoundLadder:
    """Steps to a target; ``refused`` says why they are only the variant's own changes, if so."""

    steps: list[ShownStep]
    refused: str = ""


def found_ladder(
    *,
    core: Exercise,
    target: Figure,
    target_title: str,
    codes: Sequence[str],
    options: NotationOptions,
    shape: LadderShape = NO_WISHES,
) -> FoundLadder:
    """Return the ladder from a core to a target.

    Where there is none, but the target is a variant with known changes (``codes``), these changes
    one after another are the next best thing, with the reason why there is no better.

    :raises Refused: with the reason in words when there is no way at all
    """
    try:
        rungs, refused = ladder_to(core, target, shape, way=codes), ""
    except RhythmError as no:
        if len(codes) < _WORTH_SHOWING or shape != NO_WISHES:
            raise
        rungs, refused = way_by_moves(core, codes), str(no)
    return FoundLadder(_found_steps(core, rungs, target_title, options), refused)


def _found_steps(
    core: Exercise, rungs: Sequence[FoundRung], target_title: str, options: NotationOptions
) -> list[ShownStep]:
    steps: list[ShownStep] = []
    codes: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    for position, rung in enumerate(rungs, start=1):
        if rung.codes:
            codes, changes = (*codes, *rung.codes), (*changes, rung.change)
        title = core.title if not changes else variant_title(core.title, changes)
        if position == len(rungs) and target_title:
            title = target_title
        figure = rung.figure.titled(title)
        steps.append(
            ShownStep(
                position=position,
                figure=figure,
                change=rung.change,
                points=rung.points,
                rise=rung.points - steps[-1].points if steps else 0.0,
                wheel=wheel_svg(figure, size=96),
                parts=parts_svg(figure, core.bpm, core.played_on),
                notation=notation_or_none(figure, options),
                sound=playback(figure, bpm=core.bpm),
                exercise=None if codes else core,
                codes=codes,
                query=moves_query(codes) if _is_made_by(core, codes, figure) else "",
            )
        )
    return steps


def kept_steps(*, ladder: Ladder, options: NotationOptions) -> list[ShownStep]:
    """Return the steps of a kept ladder, each as it stands in the library."""
    steps: list[ShownStep] = []
    rows = LadderStep.objects.filter(ladder=ladder).select_related("exercise")
    for row in rows.order_by("position"):
        exercise = row.exercise
        figure, points = exercise.figure, float(exercise.grade)
        steps.append(
            ShownStep(
                position=row.position,
                figure=figure,
                change=row.change,
                points=points,
                rise=points - steps[-1].points if steps else 0.0,
                wheel=wheel_svg(figure, size=96),
                parts=parts_svg(figure, exercise.bpm, exercise.played_on),
                notation=notation_or_none(figure, options),
                sound=playback(figure, bpm=exercise.bpm),
                exercise=exercise,
                codes=(),
                query="",
            )
        )
    return steps


def _is_made_by(core: Exercise, codes: tuple[str, ...], figure: Figure) -> bool:
    """True when the moves lead from the core as it is kept to this figure."""
    if not 0 < len(codes) <= MOST_MOVES:
        return False
    try:
        return grown(core, codes).figure == figure
    except NoSuchVariant:
        return False
