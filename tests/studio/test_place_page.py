"""A place's page: odd positions are asked about, addresses looked up on a press alone."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from studio.models import Place
from tests.factories.studio import FamilyFactory, PlaceFactory, StudioFactory, TeacherFactory
from tests.local_server import local_server, says

FOUND = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-8.59, 51.888]},
            "properties": {"label": "7 Weir Terrace, Ballincollig"},
        }
    ],
}


@pytest.fixture
def client(db: None) -> Client:
    """The teacher, signed in."""
    StudioFactory()
    client = Client()
    client.force_login(
        TeacherFactory(), backend="allauth.account.auth_backends.AuthenticationBackend"
    )
    cache.clear()
    return client


def _text(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


class TestPlacePage:
    def test_a_swapped_position_is_asked_about(self, client: Client) -> None:
        """Edge case 19: nothing is kept until the teacher says which it is."""
        place = PlaceFactory(latitude=None, longitude=None)
        address, data = f"/places/{place.pk}/edit/", {"name": "Home", "position": "-8.47, 51.897"}
        asked = client.post(address, data)
        assert asked.status_code == 422
        meant = {"is_position_meant": "-8.470000, 51.897000"}
        assert 'value="-8.470000, 51.897000"' in _text(asked)
        # The box answers for the position that was asked about, and for no other.
        other = {"is_position_meant": "-9.000000, 51.897000"}
        assert client.post(address, data | other).status_code == 422
        assert "Then it would be 51.897000, -8.470000" in _text(asked)
        assert Place.objects.get(pk=place.pk).position is None

        assert client.post(address, data | meant).status_code == 302
        assert Place.objects.get(pk=place.pk).position == (-8.47, 51.897)
        # What was meant once is not asked about again.
        assert client.post(address, data).status_code == 302

    def test_the_base_is_held_against_the_clock(self, client: Client) -> None:
        """Edge case 19: the first position of all, too."""
        Place.objects.update(latitude=None, longitude=None)
        page = client.get("/set-up/")
        data = {
            name: page.context["form"][name].value() or "" for name in page.context["form"].fields
        }
        asked = client.post("/set-up/", data | {"base_position": "-8.47, 51.897"})

        assert asked.status_code == 422
        assert "another part of the world than your time zone" in _text(asked)

    def test_an_address_is_looked_up_on_a_press_and_kept_on_another(
        self, client: Client, settings: Any
    ) -> None:
        place = FamilyFactory().home
        before = Place.objects.get(pk=place.pk).position
        address = f"/places/{place.pk}/edit/"
        filled = {"name": "Weir Terrace", "address": "7 Weir Terrace"}
        with local_server(says(FOUND)) as server:
            settings.GEOCODER_URL = server.address
            assert "Look the address up" in _text(client.get(address))
            assert server.asked == []
            found = client.post(address, filled | {"look_up": "1"})
        taken = client.post(address, filled | {"take": "51.888000, -8.590000"})

        assert "7 Weir Terrace, Ballincollig" in _text(found)
        assert 'value="51.888000, -8.590000"' in _text(found)
        assert 'value="Weir Terrace"' in _text(taken)
        assert 'name="position" value="51.888000, -8.590000"' in _text(taken)
        assert Place.objects.get(pk=place.pk).name == place.name
        assert Place.objects.get(pk=place.pk).position == before

    def test_a_new_familys_address_is_looked_up_too(self, client: Client, settings: Any) -> None:
        filled = {"name": "Roche", "address": "7 Weir Terrace", "first_student": "Dervla"}
        with local_server(says(FOUND)) as server:
            settings.GEOCODER_URL = server.address
            found = client.post("/families/new/", filled | {"look_up": "1"})
        taken = client.post("/families/new/", filled | {"take": "51.888000, -8.590000"})

        assert "7 Weir Terrace, Ballincollig" in _text(found)
        assert 'value="Dervla"' in _text(taken)
        assert 'name="position" value="51.888000, -8.590000"' in _text(taken)
        assert not Place.objects.filter(kind="home").exists()

    def test_without_a_geocoder_nothing_is_asked(self, client: Client) -> None:
        place = PlaceFactory()
        address = f"/places/{place.pk}/edit/"

        assert "Look the address up" not in _text(client.get(address))
        answer = client.post(address, {"name": "Home", "address": "Cork", "look_up": "1"})
        assert "No geocoder is set" in _text(answer)
