"""Figures as plain data: back again exactly, and nothing else let in."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.rhythm.errors import BadFigure
from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.record import (
    content_hash,
    default_prefix,
    from_record,
    stroke_id,
    to_record,
)
from exercises.rhythm.surfaces import Surface
from tests.strategies import any_meters, figures

SNARE_ON_TWO = Stroke(Fraction(1), Limb.LH, Surface.SNARE, Loudness.ACCENT, Ornament.FLAM)
FIGURE = Figure.of(
    "4/4", 1, [SNARE_ON_TWO, Stroke(Fraction(1, 3), Limb.RH, Surface.RIDE)], title="Łódź"
)

_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from(["4/4", "RH", "snare", "normal", "none"]),
    lambda inner: st.lists(inner, max_size=6) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


def record_with(**changes: object) -> dict[str, object]:
    return {**to_record(FIGURE), **changes}


class TestRecord:
    @given(figures(meters=any_meters()))
    @settings(max_examples=60)
    def test_gives_the_same_figure_back_through_json(self, figure: Figure) -> None:
        back = from_record(json.loads(json.dumps(to_record(figure))))

        assert back == figure
        assert back.title == figure.title
        assert to_record(back) == to_record(figure)

    @given(figures(), st.data())
    @settings(max_examples=40)
    def test_does_not_depend_on_the_order_of_strokes(
        self, figure: Figure, data: st.DataObject
    ) -> None:
        record = to_record(figure)
        shuffled = {**record, "strokes": data.draw(st.permutations(record["strokes"]))}

        assert to_record(from_record(shuffled)) == record

    def test_is_laid_out_as_documented(self) -> None:
        assert to_record(FIGURE) == {
            "version": 1,
            "meter": "4/4",
            "bars": 1,
            "title": "Łódź",
            "strokes": [
                [280, "RH", "ride", "normal", "none"],
                [840, "LH", "snare", "accent", "flam"],
            ],
        }


class TestFromRecord:
    @given(_JSON)
    def test_raises_nothing_but_bad_figure_on_any_value(self, junk: object) -> None:
        with pytest.raises(BadFigure):
            from_record(junk)

    @given(st.sampled_from(["version", "meter", "bars", "title", "strokes"]), _JSON)
    def test_raises_nothing_but_bad_figure_on_a_spoilt_key(self, key: str, junk: object) -> None:
        try:
            from_record(record_with(**{key: junk}))
        except BadFigure:
            return
        assert from_record(record_with(**{key: junk})).bars == 1 or key == "bars"

    @given(st.integers(0, 4), _JSON)
    def test_raises_nothing_but_bad_figure_on_a_spoilt_stroke(self, at: int, junk: object) -> None:
        row: list[object] = [0, "RH", "snare", "normal", "none"]
        row[at] = junk
        try:
            figure = from_record(record_with(strokes=[row]))
        except BadFigure:
            return
        assert len(figure) == 1

    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"version": 2}, "version 1"),
            ({"version": True}, "version 1"),
            ({"meter": "4"}, "4/4"),
            ({"meter": 44}, "4/4"),
            ({"bars": 0}, "1 to 8 bars"),
            ({"bars": 9}, "1 to 8 bars"),
            ({"bars": True}, "1 to 8 bars"),
            ({"strokes": "x"}, "a list"),
            ({"strokes": [[0, "RH", "snare", "normal"]]}, "five parts"),
            ({"strokes": [[10**5000, "RH", "snare", "normal", "none"]]}, "no tick"),
            ({"strokes": [[0.0, "RH", "snare", "normal", "none"]]}, "no tick"),
            ({"strokes": [[3360, "RH", "snare", "normal", "none"]]}, "outside"),
            ({"strokes": [[0, "MH", "snare", "normal", "none"]]}, "limb"),
            ({"strokes": [[0, "RH", "gong", "normal", "none"]]}, "surface"),
            ({"strokes": [[0, "RH", "snare", "normal", "none"]] * 2}, "twice"),
            ({"strokes": [[0, "RH", "snare", "normal", "none"]] * 1025}, "at most 1024"),
            ({"title": "a\x00b"}, "ordinary characters"),
            ({"title": "\ud800"}, "ordinary characters"),
            ({"title": "x" * 201}, "at most 200"),
            ({"title": None}, "text"),
        ],
    )
    def test_says_what_is_wrong(self, changes: dict[str, object], said: str) -> None:
        with pytest.raises(BadFigure, match=said):
            from_record(record_with(**changes))

    def test_passes_over_keys_it_does_not_know(self) -> None:
        assert from_record(record_with(colour="red")) == FIGURE


class TestContentHash:
    @given(figures(), figures())
    @settings(max_examples=40)
    def test_is_equal_just_for_equal_figures(self, one: Figure, other: Figure) -> None:
        assert (content_hash(one) == content_hash(other)) == (one == other)

    def test_takes_no_notice_of_the_title(self) -> None:
        assert content_hash(FIGURE.titled("Another")) == content_hash(FIGURE)

    def test_stays_what_it_was_when_first_stored(self) -> None:
        # Hashes live in databases and in other people's links: a change here needs a migration.
        assert (
            content_hash(FIGURE)
            == "edb19419b797c4402f0ceeb09a7f5ca01043e29c3dca0e03838b7e090340d6ae"
        )


class TestStrokeId:
    def test_names_prefix_limb_and_tick(self) -> None:
        assert stroke_id("f12", SNARE_ON_TWO) == "f12-LH-840"

    def test_default_prefix_begins_with_a_letter_and_the_hash(self) -> None:
        assert default_prefix(FIGURE) == "f" + content_hash(FIGURE)[:8]
