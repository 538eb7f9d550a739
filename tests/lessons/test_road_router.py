"""A road router: its table believed when it is right, and the estimate when it is not."""

from __future__ import annotations

import json
from typing import Any

import pytest

from lessons.models import RoutedRoad
from lessons.road_router import road_matrix
from lessons.selectors import road_book, road_to, stop_of
from lessons.services.routing import roads_ask
from studio.models import Place
from studio.network_answer import NoAnswer
from tests.lessons.conftest import NOW
from tests.local_server import local_server, says

HERE, THERE = (51.897, -8.47), (51.99, -8.6)


@pytest.mark.parametrize(
    ("answer", "word"),
    [
        ([], "not a table"),
        ({}, "row for each start"),
        ({"minutes": [[5]]}, "number for each place"),
        ({"minutes": [[5, 6], [7, 8]]}, "row for each start"),
        ({"minutes": [[5, "6"]]}, "no distance or time"),
        ({"minutes": [[5, True]]}, "no distance or time"),
        ({"minutes": [[5, -1]]}, "no distance or time"),
        ({"minutes": [[5, 9000]]}, "no distance or time"),
        ({"minutes": [[5, float("nan")]]}, "no distance or time"),
        ({"minutes": [[5, 10**400]]}, "no distance or time"),
        ({"minutes": [[5, 6]], "km": [[1]]}, "number for each place"),
    ],
)
def test_a_table_that_is_wrong_anywhere_is_not_believed(
    answer: Any, word: str, settings: Any
) -> None:
    with local_server(says(answer)) as server:
        settings.ROAD_ROUTER_URL = server.address
        with pytest.raises(NoAnswer, match=word):
            road_matrix([HERE], [HERE, THERE])


def test_minutes_are_rounded_up_and_no_road_is_none(settings: Any) -> None:
    with local_server(says({"minutes": [[0, 12.2], [None, 13.0]]})) as server:
        settings.ROAD_ROUTER_URL = server.address
        matrix = road_matrix([HERE, THERE], [HERE, THERE])

    assert matrix.minutes == ((0, 13), (None, 13))
    assert matrix.km == ((None, None), (None, None))
    assert json.loads(server.asked[0][3]) == {
        "from": [[51.897, -8.47], [51.99, -8.6]],
        "to": [[51.897, -8.47], [51.99, -8.6]],
    }


def test_is_off_unless_named(settings: Any) -> None:
    assert settings.ROAD_ROUTER_URL == ""
    with pytest.raises(NoAnswer, match="No road router"):
        road_matrix([HERE], [THERE])


def _all_roads(handler: Any, body: bytes) -> None:
    """Nine minutes and seven kilometres for every road."""
    asked = json.loads(body)
    row = [9.0] * len(asked["to"])
    km = [7.25] * len(asked["to"])
    says({"minutes": [row for _ in asked["from"]], "km": [km for _ in asked["from"]]})(
        handler, body
    )


@pytest.mark.django_db
class TestRoadsAsk:
    def test_the_answer_beats_the_estimate_and_says_so(
        self, studio: Any, tadhg: Any, settings: Any
    ) -> None:
        home = tadhg.family.home
        estimate = road_to(home)
        assert estimate.road.source == "estimate"
        with local_server(_all_roads) as server:
            settings.ROAD_ROUTER_URL = server.address
            asked = roads_ask(now=NOW)
        routed = road_to(home)

        assert (asked.roads, asked.trouble) == (2, "")
        # Parking comes on top, once.
        assert routed.road.minutes == 9 + road_book().model.parking_minutes
        assert (routed.road.source, routed.road.source_words) == ("router", "road router")
        assert (routed.road.km, routed.km_words) == (7.25, "road router")

    def test_the_teachers_own_time_beats_the_router(
        self, studio: Any, tadhg: Any, settings: Any
    ) -> None:
        Place.objects.filter(pk=tadhg.family.home_id).update(minutes_from_base=31)
        with local_server(_all_roads) as server:
            settings.ROAD_ROUTER_URL = server.address
            roads_ask(now=NOW)
        home = Place.objects.get(pk=tadhg.family.home_id)

        assert road_to(home).road.minutes == 31
        assert road_to(home).road.source == "own"

    def test_an_answer_for_another_door_is_not_used(
        self, studio: Any, tadhg: Any, settings: Any
    ) -> None:
        with local_server(_all_roads) as server:
            settings.ROAD_ROUTER_URL = server.address
            roads_ask(now=NOW)
        home = tadhg.family.home
        home.latitude = "51.950000"
        home.save()

        assert road_to(Place.objects.get(pk=home.pk)).road.source == "estimate"

    def test_a_changed_place_asks_for_its_own_roads_alone(
        self, studio: Any, aoife: Any, tadhg: Any, settings: Any
    ) -> None:
        with local_server(_all_roads) as server:
            settings.ROAD_ROUTER_URL = server.address
            asked = roads_ask(now=NOW, place=aoife.family.home)

        assert asked.roads == 4
        shapes = [json.loads(body) for _, _, _, body in server.asked]
        assert [(len(one["from"]), len(one["to"])) for one in shapes] == [(1, 2), (2, 1)]

    def test_trouble_keeps_what_was_known(self, studio: Any, tadhg: Any, settings: Any) -> None:
        with local_server(_all_roads) as server:
            settings.ROAD_ROUTER_URL = server.address
            roads_ask(now=NOW)
        asked = roads_ask(now=NOW)

        assert "could not be reached" in asked.trouble
        assert RoutedRoad.objects.count() == 2

    def test_no_page_asks(
        self, client: Any, tadhg: Any, settings: Any, django_assert_max_num_queries: Any
    ) -> None:
        """Pages read the table; the server hears nothing of them."""
        with local_server(_all_roads) as server:
            settings.ROAD_ROUTER_URL = server.address
            client.get(f"/families/{tadhg.family_id}/")
            client.get("/today/")
            assert server.asked == []

            client.post(
                f"/places/{tadhg.family.home_id}/edit/",
                {"name": "Far door", "position": "51.98, -8.6"},
            )
            assert len(server.asked) == 2
        stop = stop_of(Place.objects.get(pk=tadhg.family.home_id))

        assert road_book().from_base(stop).source == "router"
