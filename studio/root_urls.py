"""Every address of the site: the one composition root."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("studio.urls")),
    path("", include("lessons.urls")),
    path("", include("exercises.urls")),
    path("", include("billing.urls")),
    path("sign-in/", include("studio.account_urls")),
]

handler400 = "studio.views.errors.bad_request"
handler403 = "studio.views.errors.permission_denied"
handler404 = "studio.views.errors.page_not_found"
handler500 = "studio.views.errors.server_error"
