"""Our MusicXML against W3C's published MusicXML 4.0 schema."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from exercises.notation.musicxml_out import musicxml
from exercises.notation.score_options import ScoreOptions
from exercises.rhythm.figure import Figure
from tests.exercises.notation.pieces import FLAMS, PIECES
from tests.outside.musicxml_schema import musicxml_4_0
from tests.strategies import any_meters, figures


def complaints(data: bytes) -> list[str]:
    """What the schema has against a document."""
    schema = musicxml_4_0()
    schema.validate(etree.fromstring(data))
    return [str(error) for error in schema.error_log]


class TestMusicXMLIsValid:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_bare(self, piece: Figure) -> None:
        assert complaints(musicxml(piece)) == []

    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_with_everything_on(self, piece: Figure) -> None:
        data = musicxml(piece, bpm=92.5, sticking=True, counting=True, bars_per_line=2)

        assert complaints(data) == []

    @given(figures(meters=any_meters()), st.booleans(), st.booleans())
    @settings(max_examples=25)
    def test_any_figure(self, figure: Figure, sticking: bool, counting: bool) -> None:
        assert complaints(musicxml(figure, sticking=sticking, counting=counting, bpm=60)) == []

    def test_a_title_that_is_markup(self) -> None:
        title = "<b>&amp;</b> \x07\ud800 Łódź \U0001d11e"

        data = musicxml(FLAMS.titled(title))

        assert complaints(data) == []
        assert etree.fromstring(data).findtext("work/work-title") == "<b>&amp;</b>  Łódź \U0001d11e"

    def test_the_schema_itself_refuses_what_is_wrong(self) -> None:
        data = musicxml(FLAMS).replace(b"<voice>1</voice>", b"<voice>1</voice><grace/>", 1)

        assert complaints(data) != []

    def test_the_engravers_copy_too(self) -> None:
        from exercises.notation.musicxml_out import score

        assert complaints(score(FLAMS, ScoreOptions(for_drawing=True, bars_per_line=1))) == []
