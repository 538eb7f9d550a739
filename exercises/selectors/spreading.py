"""A spread as a page shows it: a core, and variants that climb evenly and differ."""

from __future__ import annotations

from exercises.engraving_cache import NotationOptions, wheel_svg
from exercises.models import Exercise
from exercises.notation.playback import playback
from exercises.searches import spread_of
from exercises.selectors.figures import notation_or_none, parts_svg
from exercises.selectors.ladders import ShownStep
from exercises.variants import GrownFigure, grown


def spread_steps(*, core: Exercise, count: int, options: NotationOptions) -> list[ShownStep]:
    """Return the core and ``count`` variants (fewer where the core opens into fewer)."""
    steps = [_step(core, grown(core, ()), float(core.grade), [], options)]
    for codes, points in spread_of(core, count):
        steps.append(_step(core, grown(core, codes), points, steps, options))
    return steps


def _step(
    core: Exercise,
    variant: GrownFigure,
    points: float,
    before: list[ShownStep],
    options: NotationOptions,
) -> ShownStep:
    return ShownStep(
        position=len(before) + 1,
        figure=variant.figure,
        change=variant.said,
        points=points,
        rise=points - before[-1].points if before else 0.0,
        wheel=wheel_svg(variant.figure, size=96),
        parts=parts_svg(variant.figure, core.bpm, core.played_on),
        notation=notation_or_none(variant.figure, options),
        sound=playback(variant.figure, bpm=core.bpm),
        exercise=None if variant.codes else core,
        codes=variant.codes,
        query=variant.query,
    )
