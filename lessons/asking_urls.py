"""The addresses of requests, the waiting list and offers."""

from django.urls import URLPattern, path

from lessons.views import answering, asking, offers, waiting

urlpatterns: list[URLPattern] = [
    path("lessons/<int:pk>/ask/", asking.request_ask, name="request_ask"),
    path("requests/", answering.request_list, name="request_list"),
    path("requests/<int:pk>/", asking.request_detail, name="request_detail"),
    path("requests/<int:pk>/answer/", answering.request_answer, name="request_answer"),
    path("requests/<int:pk>/other/", answering.request_other, name="request_other"),
    path("requests/<int:pk>/take/", asking.request_take, name="request_take"),
    path("requests/<int:pk>/take-back/", asking.request_take_back, name="request_take_back"),
    path("requests/<int:pk>/insist/", asking.request_insist, name="request_insist"),
    path("waiting/", waiting.waiting_list, name="waiting_list"),
    path("waiting/new/", waiting.waiting_create, name="waiting_create"),
    path("waiting/<int:pk>/edit/", waiting.waiting_edit, name="waiting_edit"),
    path("waiting/<int:pk>/remove/", waiting.waiting_remove, name="waiting_remove"),
    path("waiting/free/", waiting.free_time, name="free_time"),
    path("waiting/free/offer/", waiting.offer_make, name="offer_make"),
    path("offers/<int:pk>/", offers.offer_detail, name="offer_detail"),
    path("offers/<int:pk>/yes/", offers.offer_yes, name="offer_yes"),
    path("offers/<int:pk>/no/", offers.offer_no, name="offer_no"),
    path("offers/<int:pk>/other/", offers.offer_other, name="offer_other"),
]
