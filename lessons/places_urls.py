"""The addresses of places and the road."""

from django.urls import URLPattern, URLResolver, path

from lessons.views import area, homes, mileage, routing

urlpatterns: list[URLPattern | URLResolver] = [
    path("area/", area.area, name="area"),
    path("road/mileage/", mileage.mileage_log, name="mileage"),
    path("road/mileage/log.csv", mileage.mileage_sheet, name="mileage_sheet"),
    path("road/mileage/log.pdf", mileage.mileage_paper, name="mileage_paper"),
    path("families/<int:pk>/moves/", homes.family_moves, name="family_moves"),
    path("families/<int:pk>/moves/take-back/", homes.family_stays, name="family_stays"),
    path("families/<int:pk>/homes/new/", homes.other_home, name="other_home"),
    path(
        "families/<int:pk>/homes/<int:place_pk>/end/", homes.other_home_end, name="other_home_end"
    ),
    path("road/ask/", routing.road_ask, name="road_ask"),
]
