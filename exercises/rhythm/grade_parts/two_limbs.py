"""What two limbs' lines ask of each other."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from exercises.rhythm.figure import TICKS_PER_BEAT, Line
from exercises.rhythm.grade_parts.frame import Frame
from exercises.rhythm.grade_parts.one_limb import even_spacing
from exercises.rhythm.grade_parts.weights import WEIGHTS, Relation

Pulse = tuple[dict[int, int], int | None]
"""The ticks at which a limb strikes, each with its place in the beat, and the ticks between
strokes if they are even."""


@dataclass(frozen=True, slots=True)
class PairMarks:
    """Thousandths of a point for two lines, and the facts behind them.

    ``states`` counts what the pair does (one alone, the other alone, both), told apart by the place
    in the beat; ``successions`` counts the different steps from one to the next. ``contrast`` is
    the largest difference of loudness at one moment, in levels.
    """

    relation: Relation
    states: int
    successions: int
    contrast: int
    coordination: int
    loudness: int


@dataclass(frozen=True, slots=True)
class Heard:
    """One line as its partners meet it: what of it is felt, and how loud it is at each tick."""

    felt: tuple[Pulse, ...]
    levels: dict[int, int]


def heard(line: Line, frame: Frame) -> Heard:
    """Prepare a line for :func:`pair_marks`, once for all its partners."""
    levels = {stroke.tick: stroke.loudness.level for stroke in line}
    return Heard(tuple(_felt(line, frame)), levels)


def pair_marks(one: Heard, other: Heard) -> PairMarks:
    """Measure two lines that loop together; all of it is the same when written out twice.

    An even line is felt at its slower pulses too, down to the beat: the eighths within the
    sixteenths, the quarters within the eighths. The pair is marked by the hardest of them, which is
    why a denser ostinato never makes two limbs easier to put together.
    """
    felt = [_meeting(a, b) for a, b in product(one.felt, other.felt)]
    relation, states, successions = felt[0]
    contrast, kinds = _contrast(one, other)
    return PairMarks(
        relation=relation,
        states=states,
        successions=successions,
        contrast=contrast,
        coordination=max(_points(*meeting) for meeting in felt),
        loudness=WEIGHTS.contrast_level * contrast + WEIGHTS.contrast_kind * kinds,
    )


def _points(relation: Relation, states: int, successions: int) -> int:
    return (
        WEIGHTS.relation[relation]
        + WEIGHTS.state * (states - 1)
        + WEIGHTS.succession * (successions - 1)
    )


def _felt(line: Line, frame: Frame) -> list[Pulse]:
    """The line as struck, then, if it is even, its slower pulses down to the beat.

    Everything is written out over two rounds where the bars are odd in number, so that a pulse
    that starts differently in every other bar has room.
    """
    bar = frame.bar_ticks
    ticks = tuple(stroke.tick for stroke in line)
    spacing = even_spacing(line, frame.ticks)
    if frame.bars % 2:
        ticks += tuple(tick + frame.ticks for tick in ticks)
    felt = [(ticks, spacing)]
    while spacing and 2 * spacing <= TICKS_PER_BEAT and bar % spacing == 0:
        spacing *= 2
        if bar % spacing:
            first = ticks[0] % spacing
            restarting = tuple(tick for tick in ticks if tick % bar % spacing == first)
            felt += [(restarting, None), (ticks[::2], spacing), (ticks[1::2], spacing)]
            break
        ticks = ticks[::2]
        felt.append((ticks, spacing))
    return [({tick: frame.places[tick % bar] for tick in pulse}, even) for pulse, even in felt]


def _meeting(one: Pulse, other: Pulse) -> tuple[Relation, int, int]:
    """How two pulses stand to each other, their different states and successions.

    What happens at a tick is one number: the place in the beat times 4, plus 1 for one limb, plus 2
    for the other.
    """
    first, second = one[0], other[0]
    doing = {tick: 4 * place + 1 for tick, place in first.items()}
    for tick, place in second.items():
        doing[tick] = 4 * place + (3 if tick in first else 2)
    row = [doing[tick] for tick in sorted(doing)]
    following = row[1:] + row[:1]
    successions = {4 * now + (then & 3) for now, then in zip(row, following, strict=True)}
    both = len(first) + len(second) - len(doing)
    relation = _relation(one, other, both)
    return relation, len(set(row)), len(successions)


def _relation(one: Pulse, other: Pulse, both: int) -> Relation:
    spacing, other_spacing = one[1], other[1]
    if spacing and other_spacing and spacing % other_spacing and other_spacing % spacing:
        return Relation.CROSS_RHYTHM
    if not both:
        return Relation.GAPS
    strokes, other_strokes = len(one[0]), len(other[0])
    if both == strokes == other_strokes:
        return Relation.TOGETHER
    return Relation.NESTED if both in (strokes, other_strokes) else Relation.ACROSS


def _contrast(one: Heard, other: Heard) -> tuple[int, int]:
    """The largest difference of loudness at one moment, and how many different ones there are."""
    theirs = other.levels
    unequal = {
        (level, theirs[tick])
        for tick, level in one.levels.items()
        if tick in theirs and theirs[tick] != level
    }
    return max((abs(a - b) for a, b in unequal), default=0), len(unequal)
