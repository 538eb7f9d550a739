"""What tells two figures apart."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.comparing import difference_words, line_differences, part_differences
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.library import BY_SLUG, CORES
from exercises.rhythm.meter import Meter
from exercises.rhythm.typed import read_typed
from tests.strategies import figures

FOUR = st.just(Meter(4, 4))


@given(figures(meters=FOUR, max_bars=1), figures(meters=FOUR, max_bars=1))
def test_the_differences_make_the_second_of_the_first(first: Figure, second: Figure) -> None:
    found = {difference.limb: difference for difference in line_differences(first, second)}

    for limb, difference in found.items():
        assert difference.applied_to(first.line(limb)) == second.line(limb)
        assert difference_words(difference, first)
    for limb in set(first.limbs) | set(second.limbs):
        assert (limb in found) == (first.line(limb) != second.line(limb))


@given(figures(meters=FOUR, max_bars=2), figures(meters=FOUR, max_bars=2))
def test_the_other_way_round_adds_what_was_taken(first: Figure, second: Figure) -> None:
    there, back = line_differences(first, second), line_differences(second, first)

    assert [each.limb for each in there] == [each.limb for each in back]
    for one, other in zip(there, back, strict=True):
        assert one.added == other.removed
        assert one.removed == other.added
        assert one.changed == tuple((b, a) for a, b in other.changed)


@given(figures(max_bars=2))
def test_a_figure_does_not_differ_from_itself(figure: Figure) -> None:
    assert line_differences(figure, figure) == ()
    graded = grade(figure, 80, FIVE_PIECE)
    assert all(part.points == 0 and not part.counts for part in part_differences(graded, graded))


def test_a_bar_written_out_twice_is_the_same() -> None:
    once = BY_SLUG["rock-first-beat"].figure
    twice = Figure.of(
        once.meter,
        2,
        [
            *once.strokes,
            *(
                type(s)(s.onset + once.meter.bar_beats, s.limb, s.surface, s.loudness, s.ornament)
                for s in once.strokes
            ),
        ],
    )
    assert line_differences(once, twice) == ()


def test_the_parts_account_for_the_whole_difference() -> None:
    first = CORES[0]
    before = grade(first.figure, first.bpm, first.kit)
    for core in CORES:
        after = grade(core.figure, core.bpm, core.kit)
        parts = part_differences(before, after)

        assert round(sum(part.points for part in parts), 3) == round(after.total - before.total, 3)
        sizes = [abs(part.points) for part in parts]
        assert sizes == sorted(sizes, reverse=True)


def test_the_words_say_who_plays_what_where() -> None:
    first = read_typed("4/4\nRH: xx xx xx xx\nLH: . x . x\nRF: x . x .")
    second = read_typed("4/4\nRH: xx xx xx xx\nLH: . X . F\nRF: x .x x .")

    said = [difference_words(each, first) for each in line_differences(first, second)]

    assert said == [
        "left hand: snare becomes accented snare (beat 2); "
        "snare becomes accented snare with a flam (beat 4)",
        "right foot: 1 more on the bass drum (beat 2 &)",
    ]
