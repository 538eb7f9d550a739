"""What the player in the browser is given."""

from __future__ import annotations

import json

from hypothesis import given, settings

from exercises.notation.musicxml_out import musicxml
from exercises.notation.playback import playback
from exercises.rhythm.figure import Figure
from exercises.rhythm.typed import read_typed
from tests.strategies import any_meters, figures


class TestPlayback:
    def test_has_the_shape_that_the_player_reads(self) -> None:
        figure = read_typed("4/4 Two hands\nRH ride: x . . .\nLH: . .F . .\n")

        assert playback(figure, bpm=90, prefix="p") == {
            "title": "Two hands",
            "meter": "4/4",
            "bars": 1,
            "bpm": 90,
            "ticks_per_beat": 840,
            "length_ticks": 3360,
            "group_ticks": [840, 840, 840, 840],
            "strokes": [
                {
                    "id": "p-RH-0",
                    "tick": 0,
                    "limb": "RH",
                    "surface": "ride",
                    "loudness": "normal",
                    "ornament": "none",
                },
                {
                    "id": "p-LH-1260",
                    "tick": 1260,
                    "limb": "LH",
                    "surface": "snare",
                    "loudness": "accent",
                    "ornament": "flam",
                },
            ],
        }

    @given(figures(meters=any_meters()))
    @settings(max_examples=40)
    def test_is_whole_ticks_in_time_order_and_plain_json(self, figure: Figure) -> None:
        data = json.loads(json.dumps(playback(figure, bpm=77.5)))

        assert data["length_ticks"] == sum(data["group_ticks"]) * figure.bars
        assert data["length_ticks"] == figure.length_beats * 840
        ticks = [stroke["tick"] for stroke in data["strokes"]]
        assert ticks == sorted(ticks)
        assert all(0 <= tick < data["length_ticks"] for tick in ticks)
        assert len({stroke["id"] for stroke in data["strokes"]}) == len(figure)

    @given(figures())
    @settings(max_examples=20)
    def test_names_strokes_as_the_engraved_notes_are_named(self, figure: Figure) -> None:
        score = musicxml(figure).decode()

        for stroke in playback(figure, bpm=90)["strokes"]:
            assert score.count(f'id="{stroke["id"]}"') == 1
