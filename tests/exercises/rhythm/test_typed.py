"""The typed form: what a teacher types is read, what is written reads back, errors say where."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.rhythm.errors import BadTypedFigure
from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed, write_typed
from exercises.rhythm.typed_words import LETTERS
from tests.strategies import any_meters, figures, meters, onsets

GROOVE = """\
4/4 Half-time with a busy foot

RH hi-hat:    x.x. x.x. x.x. x.x. | x.x. x.x. x.x. xxx
LH snare:     .... ..g. X... .g.. | .... ..g. X... ..f
RF bass-drum: x... ..x. ..x. .... | x... ..x. ..x. ...
"""


def places(text: str, limb: Limb = Limb.RH) -> list[Fraction]:
    return [stroke.onset for stroke in read_typed(text).line(limb)]


class TestReadTyped:
    def test_reads_meter_title_bars_and_strokes(self) -> None:
        figure = read_typed(GROOVE)

        assert (str(figure.meter), figure.bars) == ("4/4", 2)
        assert figure.title == "Half-time with a busy foot"
        assert len(figure.line(Limb.RH)) == 17
        assert figure.line(Limb.LH)[-1] == Stroke(
            Fraction(7) + Fraction(2, 3), Limb.LH, Surface.SNARE, Loudness.NORMAL, Ornament.FLAM
        )

    def test_lets_every_beat_have_its_own_subdivision(self) -> None:
        assert places("4/4\nRH: x xx xxx xxxx") == [
            *(
                Fraction(0),
                Fraction(1),
                Fraction(3, 2),
                Fraction(2),
                Fraction(7, 3),
                Fraction(8, 3),
            ),
            *(Fraction(3), Fraction(13, 4), Fraction(7, 2), Fraction(15, 4)),
        ]

    def test_reads_fives_and_sevens_as_so_many_characters(self) -> None:
        assert places("2/4\nRH: ....x ......x") == [Fraction(4, 5), Fraction(13, 7)]

    def test_shares_out_the_long_last_beat_of_an_odd_meter(self) -> None:
        assert places("7/8\nRH: xx xx xxx") == [Fraction(k, 2) for k in range(7)]
        assert places("5/8\nRH: x x.....") == [Fraction(0), Fraction(1)]

    def test_takes_the_dotted_quarter_as_the_beat_of_six_eight(self) -> None:
        assert places("6/8\nRH: xxx x..") == [
            Fraction(0),
            Fraction(1, 3),
            Fraction(2, 3),
            Fraction(1),
        ]

    def test_knows_every_way_of_striking(self) -> None:
        for (loudness, ornament), letter in LETTERS.items():
            stroke = read_typed(f"1/4\nLH mid tom: {letter}").strokes[0]

            assert (stroke.loudness, stroke.ornament) == (loudness, ornament)

    @pytest.mark.parametrize(
        ("words", "surface"),
        [
            ("hi-hat", Surface.HI_HAT),
            ("Hi Hat", Surface.HI_HAT),
            ("hihat", Surface.HI_HAT),
            ("hi_hat_open", Surface.HI_HAT_OPEN),
            ("open hi-hat", Surface.HI_HAT_OPEN),
            ("hi-hat foot splash", Surface.HI_HAT_SPLASH),
            ("floor tom", Surface.FLOOR_TOM),
            ("bell", Surface.RIDE_BELL),
            ("", Surface.HI_HAT),
        ],
    )
    def test_is_not_fussy_about_how_a_surface_is_spelt(self, words: str, surface: Surface) -> None:
        assert read_typed(f"1/4\nRH {words}: x").strokes[0].surface is surface

    @pytest.mark.parametrize("surface", Surface)
    def test_reads_each_surface_by_its_spoken_name(self, surface: Surface) -> None:
        assert read_typed(f"1/4\nRH {surface.spoken}: x").strokes[0].surface is surface

    def test_lets_a_limb_change_surface_by_lines_or_within_a_line(self) -> None:
        by_lines = read_typed("2/4\nLH snare: xx ..\nLH floor-tom: .. xx")
        within = read_typed("2/4\nLH snare: xx floor-tom: xx")

        assert by_lines == within
        assert [s.surface for s in within.strokes] == [Surface.SNARE] * 2 + [Surface.FLOOR_TOM] * 2

    def test_goes_on_with_the_next_bars_after_an_empty_line(self) -> None:
        in_two = read_typed("2/4\n\nRH: x x\n\nRH: . x\nLH: x .\n")

        assert in_two == read_typed("2/4\nRH: x x | . x\nLH: . . | x .")

    def test_takes_mail_as_it_comes(self) -> None:
        assert read_typed("\r\n  2 / 4\r\n\trh : -x | \r\n".replace("| ", "x-")) == read_typed(
            "2/4\nRH: .x x."
        )

    def test_prefers_the_title_it_is_given(self) -> None:
        assert read_typed(GROOVE, title="Mine").title == "Mine"


class TestErrors:
    @pytest.mark.parametrize(
        ("text", "line", "column", "said"),
        [
            ("", 1, 0, "begin with the meter"),
            ("RH: x x x x", 1, 1, "expected the meter first"),
            ("99/4\nRH: x", 1, 1, "1 to 32 counts"),
            ("4/5\nRH: x", 1, 1, "half, quarter, eighth or sixteenth"),
            ("4/4", 2, 0, "expected a line such as"),
            ("4/4\n\nMH: x x x x", 3, 1, "expected a limb, RH, LH, RF or LF, not MH"),
            ("4/4\n  RH x x x x", 2, 3, "a surface and a colon"),
            ("4/4\nRH snary: x x x x", 2, 4, "expected snare"),
            ("4/4\nRH: x x gong: x x", 2, 9, "no surface is called 'gong'"),
            ("4/4\nRH: x.x. x.k. x x", 2, 12, "'k' is no stroke; expected . for a rest"),
            ("4/4\nRH: x x x", 2, 10, "expected 4 beats to a bar of 4/4"),
            ("4/4\nRH: x x | x x", 2, 9, "found 2 before this bar line"),
            ("4/4\nRH: x.x.x.x.x.x.x.x.", 2, 5, "a beat of 16 characters cannot be counted"),
            ("4/4\nRH: x x x x\nRH: x x x x", 3, 1, "line 2 is already RH on this surface"),
            ("4/4\nRH: x . . .\nRH ride: x . . .", 3, 10, "already strikes at this moment"),
            ("2/4\nRH: x x\nLH: x x x x", 3, 12, "as many bars as in line 2"),
            ("1/4\nRH: x x x x x x x x x", 2, 21, "at most 8 bars"),
            ("4/4 " + "t" * 201 + "\nRH: x x x x", 1, 5, "at most 200"),
            ("x" * 20_001, 1, 0, "at most 20000 characters"),
        ],
    )
    def test_name_line_column_and_what_was_expected(
        self, text: str, line: int, column: int, said: str
    ) -> None:
        with pytest.raises(BadTypedFigure, match=said.replace("(", r"\(")) as caught:
            read_typed(text)

        assert (caught.value.line, caught.value.column) == (line, column)
        assert str(caught.value).startswith(f"line {line}")

    @given(st.text(alphabet="4/ \nRHLFx.X|:-snare\t\r\u2028é1", max_size=60))
    @settings(max_examples=200)
    def test_never_raises_anything_else(self, text: str) -> None:
        try:
            figure = read_typed(text)
        except BadTypedFigure:
            return
        assert read_typed(write_typed(figure)) == figure

    @given(st.data())
    @settings(max_examples=100)
    def test_points_into_the_line_that_was_spoilt(self, data: st.DataObject) -> None:
        at = data.draw(st.integers(GROOVE.index("LH snare:") + 9, GROOVE.index("RF") - 2))
        spoilt = GROOVE[:at] + "?" + GROOVE[at + 1 :]

        with pytest.raises(BadTypedFigure) as caught:
            read_typed(spoilt)

        line = spoilt.split("\n")[3]
        assert caught.value.line == 4
        assert line[caught.value.column - 1] == "?" or "expected" in str(caught.value)


class TestWriteTyped:
    def test_writes_columns_with_one_grid_where_it_can(self) -> None:
        assert write_typed(read_typed(GROOVE)) == GROOVE

    def test_uses_no_more_characters_than_the_figure_needs(self) -> None:
        assert write_typed(read_typed("4/4\nRH: x... x... x... x...")) == (
            "4/4\n\nRH hi-hat: x x x x\n"
        )

    def test_writes_a_silent_figure_as_a_line_of_rests(self) -> None:
        assert write_typed(Figure.of("3/4", 1, [])) == "3/4\n\nRH hi-hat: . . .\n"

    def test_keeps_lines_short_enough_for_mail(self) -> None:
        figure = read_typed("4/4\nRH hi-hat half-open: " + " ".join(["x.x."] * 32))
        written = write_typed(figure)

        assert figure.bars == 8
        assert max(len(line) for line in written.split("\n")) <= 78
        assert read_typed(written) == figure

    @given(figures(meters=meters(), max_bars=3))
    @settings(max_examples=100)
    def test_reads_back_to_the_same_figure(self, figure: Figure) -> None:
        back = read_typed(write_typed(figure))

        assert back == figure
        assert back.title == figure.title

    @given(st.data())
    @settings(max_examples=60)
    def test_reads_back_whatever_tick_a_stroke_is_on(self, data: st.DataObject) -> None:
        meter = data.draw(any_meters())
        chosen = data.draw(st.lists(onsets(meter, 2), unique=True, max_size=5))
        figure = Figure.of(meter, 2, [Stroke(o, Limb.LH, Surface.SNARE) for o in chosen])

        assert read_typed(write_typed(figure)) == figure
