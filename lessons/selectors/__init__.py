"""Reading lessons: one function for each page or report, with a constant number of queries."""

from lessons.selectors.days import (
    DayPlan,
    DayStop,
    day_plan,
    evenings_caution,
    not_marked_before,
    week_plan,
)
from lessons.selectors.facts import facts_of_lessons, lesson_facts
from lessons.selectors.people import (
    family_lessons,
    family_notes,
    student_last_notes,
    student_next_lessons,
)
from lessons.selectors.road import RoadTo, bands_now, road_book, road_to, stop_of
from lessons.selectors.series import SeriesPlan, SeriesWish, series_plan, visits_between

__all__ = [
    "DayPlan",
    "DayStop",
    "RoadTo",
    "SeriesPlan",
    "SeriesWish",
    "bands_now",
    "day_plan",
    "evenings_caution",
    "facts_of_lessons",
    "family_lessons",
    "family_notes",
    "lesson_facts",
    "not_marked_before",
    "road_book",
    "road_to",
    "series_plan",
    "stop_of",
    "student_last_notes",
    "student_next_lessons",
    "visits_between",
    "week_plan",
]
