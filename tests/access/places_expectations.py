"""Places and the road: the teacher's alone."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tests.access.harness import Cast, Expect, teacher_action, teacher_form, teacher_page
from tests.factories.studio import PlaceFactory


def build(cast: Cast) -> None:
    """Add a second home."""
    cast.things.other_home = PlaceFactory()
    cast.family.other_homes.add(cast.things.other_home)


EXPECTED: list[Expect] = [
    teacher_action("lessons:road_ask"),
    teacher_page("lessons:area"),
    teacher_page("lessons:mileage"),
    teacher_page("lessons:mileage_sheet"),
    teacher_page("lessons:mileage_paper"),
    # What would change is shown first.
    teacher_form(
        "lessons:family_moves",
        lambda cast: (cast.family.pk,),
        data=lambda cast: {
            "from_date": f"{datetime.now(UTC).date() + timedelta(days=30)}",
            "name": "The new home",
        },
        done=200,
    ),
    teacher_action("lessons:family_stays", lambda cast: (cast.family.pk,)),
    teacher_form(
        "lessons:other_home",
        lambda cast: (cast.family.pk,),
        data=lambda cast: {"name": "At Dad’s", "position": "51.9, -8.45"},
    ),
    teacher_action(
        "lessons:other_home_end", lambda cast: (cast.family.pk, cast.things.other_home.pk)
    ),
]
