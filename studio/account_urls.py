"""The sign-in library's pages that the studio uses, and no others."""

from allauth.account import views
from django.urls import path, re_path

from studio.access import public, signed_in

urlpatterns = [
    path("", public(views.login), name="account_login"),
    path("out/", signed_in(views.logout), name="account_logout"),
    path("code/", public(views.request_login_code), name="account_request_login_code"),
    path("code/confirm/", public(views.confirm_login_code), name="account_confirm_login_code"),
    path("password/", signed_in(views.password_change), name="account_change_password"),
    path("password/first/", signed_in(views.password_set), name="account_set_password"),
    path("again/", signed_in(views.reauthenticate), name="account_reauthenticate"),
    path("password/forgotten/", public(views.password_reset), name="account_reset_password"),
    path(
        "password/forgotten/sent/",
        public(views.password_reset_done),
        name="account_reset_password_done",
    ),
    re_path(
        # The library's own pattern: the key has hyphens of its own.
        r"^password/new/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        public(views.password_reset_from_key),
        name="account_reset_password_from_key",
    ),
    path(
        "password/new/done/",
        public(views.password_reset_from_key_done),
        name="account_reset_password_from_key_done",
    ),
    path("closed/", public(views.signup), name="account_signup"),
    path("inactive/", public(views.account_inactive), name="account_inactive"),
]
