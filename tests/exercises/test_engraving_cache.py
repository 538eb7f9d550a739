"""Pictures are drawn once, by content, and right in every thread."""

from __future__ import annotations

import threading
from unittest.mock import patch

from exercises import engraving_cache
from exercises.engraving_cache import NotationOptions, lanes_svg, notation_svg, wheel_svg
from exercises.rhythm.record import default_prefix
from exercises.rhythm.typed import read_typed
from tests.factories.exercises import BACKBEAT, WITH_FOOT

FIGURE = read_typed(BACKBEAT)


class TestNotationSvg:
    def test_engraves_once(self) -> None:
        with patch.object(
            engraving_cache, "engrave", side_effect=engraving_cache.engrave
        ) as engrave:
            first = notation_svg(FIGURE, NotationOptions())
            second = notation_svg(FIGURE.titled("Another name"), NotationOptions())

        assert engrave.call_count == 1
        assert first == second

    def test_engraves_again_for_another_width_mark_or_figure(self) -> None:
        pictures = {
            notation_svg(FIGURE, NotationOptions()),
            notation_svg(FIGURE, NotationOptions(width=360)),
            notation_svg(FIGURE, NotationOptions(sticking=True)),
            notation_svg(FIGURE, NotationOptions(counting=True)),
            notation_svg(FIGURE, NotationOptions(one_bar_a_line=True)),
            notation_svg(read_typed(WITH_FOOT), NotationOptions()),
        }

        assert len(pictures) == 6

    def test_falls_to_few_widths(self) -> None:
        widths = {NotationOptions(width=width).drawn_width for width in range(1, 5000)}

        assert min(widths) == 240
        assert max(widths) == 1600
        assert len(widths) <= 36

    def test_engraves_again_when_the_renderer_changed(self) -> None:
        notation_svg(FIGURE, NotationOptions())

        with (
            patch.object(engraving_cache, "renderer_version", return_value="newer"),
            patch.object(
                engraving_cache, "engrave", side_effect=engraving_cache.engrave
            ) as engrave,
        ):
            notation_svg(FIGURE, NotationOptions())

        assert engrave.call_count == 1

    def test_is_the_same_in_another_thread(self) -> None:
        figure = read_typed(WITH_FOOT)
        drawn: list[str] = []

        def draw() -> None:
            drawn.append(notation_svg(figure, NotationOptions(width=500)))

        thread = threading.Thread(target=draw)
        thread.start()
        thread.join()
        engraving_cache.caches["engraving"].clear()

        assert drawn == [notation_svg(figure, NotationOptions(width=500))]
        assert f'id="{default_prefix(figure)}-LF-0"' in drawn[0]

    def test_holds_nothing_that_a_person_typed(self) -> None:
        figure = FIGURE.titled("<script>alert(1)</script>")

        for picture in (
            notation_svg(figure, NotationOptions(sticking=True, counting=True)),
            wheel_svg(figure, size=180),
            lanes_svg(figure, room="wide"),
        ):
            assert "script" not in picture
            assert "style=" not in picture
