"""The one settings file. Everything that differs between machines comes from the environment.

Variables: STUDIO_DATA (folder for the database, the kept secret, outgoing mail and caches),
STUDIO_DEBUG, STUDIO_HTTPS, STUDIO_HOSTS, STUDIO_ORIGINS, STUDIO_PROXIES, STUDIO_SECRET_KEY,
DATABASE_URL, STUDIO_SMTP_HOST / PORT / USER / PASSWORD / TLS, STUDIO_MAIL_FROM,
STUDIO_GEOCODER_URL / TOKEN, STUDIO_ROUTER_URL / TOKEN (both off while empty).
"""

from __future__ import annotations

import os
from pathlib import Path

from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from studio import env

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.text("STUDIO_DATA") or BASE_DIR / "var").resolve()
# Families' data: for the owner alone.
os.umask(0o077)
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)

DEBUG = env.flag("STUDIO_DEBUG", default=False)
HTTPS = env.flag("STUDIO_HTTPS", default=not DEBUG)
SECRET_KEY = env.kept_secret("STUDIO_SECRET_KEY", DATA_DIR / "secret_key")
ALLOWED_HOSTS = env.words("STUDIO_HOSTS", "localhost,127.0.0.1" if DEBUG or not HTTPS else "")
if not ALLOWED_HOSTS:
    raise ImproperlyConfigured(
        "STUDIO_HOSTS must name the studio's web address, for example studio.example.ie"
    )
CSRF_TRUSTED_ORIGINS = env.words("STUDIO_ORIGINS")
SITE_ADDRESS = env.text("STUDIO_ADDRESS") or (
    f"{'https' if HTTPS else 'http'}://{ALLOWED_HOSTS[0]}"
)

INSTALLED_APPS = [
    "studio",
    "lessons",
    "exercises",
    "billing",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials",
    "csp",
    "allauth",
    "allauth.account",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "studio.middleware.MoreHeadersMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "studio.middleware.PlainTextMiddleware",
    "studio.middleware.SignInRequiredMiddleware",
    "studio.middleware.StudioMiddleware",
    "allauth.account.middleware.AccountMiddleware",
]

ROOT_URLCONF = "studio.root_urls"
WSGI_APPLICATION = "studio.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "studio.context.studio",
            ],
        },
    },
]

DATABASES = {"default": env.database(env.text("DATABASE_URL"), DATA_DIR / "studio.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Files, so that all processes of one machine share them without another service. "engraving" holds
# only what can be made again from the figures.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "cache",
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
    "engraving": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "engraving",
        "TIMEOUT": None,
        "OPTIONS": {"MAX_ENTRIES": 50_000},
    },
}

# --- people and sign-in -------------------------------------------------------------------------
AUTH_USER_MODEL = "studio.User"
AUTHENTICATION_BACKENDS = [
    "allauth.account.auth_backends.AuthenticationBackend",
    "sesame.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
_VALIDATION = "django.contrib.auth.password_validation"
# NIST SP 800-63B-4 and OWASP ASVS 5.0 (6.2.1) ask for 8 at the very least and 15 for a password
# that stands alone; children type theirs on a phone, so 10 with a list of common ones refused.
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"{_VALIDATION}.UserAttributeSimilarityValidator"},
    {"NAME": f"{_VALIDATION}.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": f"{_VALIDATION}.CommonPasswordValidator"},
    {"NAME": f"{_VALIDATION}.NumericPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "studio:home"
LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_ADAPTER = "studio.accounts.StudioAccountAdapter"
ACCOUNT_LOGIN_METHODS = {"username", "email"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGOUT_ON_PASSWORD_CHANGE = True
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_EMAIL_NOTIFICATIONS = False
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_RATE_LIMITS = {
    "login": "30/m/ip",
    # One address runs out of tries before an account does: a stranger cannot lock anybody out from
    # one place. 60 is below the 100 failures in a row of NIST SP 800-63B-4.
    "login_failed": "10/m/ip,30/h/ip,60/h/key",
    "reset_password": "20/m/ip,5/m/key",
    "reset_password_from_key": "20/m/ip",
    "request_login_code": "20/m/ip,3/m/key",
    "change_password": "5/m/user",
    "reauthenticate": "10/m/user",
}
ALLAUTH_TRUSTED_PROXY_COUNT = env.number("STUDIO_PROXIES", 0)
# A printed or mailed link: good once, for a week.
SESAME_ONE_TIME = True
SESAME_MAX_AGE = 7 * 24 * 3600

# --- the web ------------------------------------------------------------------------------------
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = (
    ("HTTP_X_FORWARDED_PROTO", "https") if ALLAUTH_TRUSTED_PROXY_COUNT else None
)
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_NAME = "__Host-session" if HTTPS else "session"
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "csrf"
SESSION_COOKIE_AGE = 60 * 24 * 3600
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    },
}
# The largest thing anyone sends is a score; the exercises app refuses larger ones in words.
DATA_UPLOAD_MAX_MEMORY_SIZE = 3 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 3 * 1024 * 1024
FILE_UPLOAD_HANDLERS = [
    "studio.uploads.SizeLimitUploadHandler",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
]

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "studio.static_storage.StudioStaticStorage"},
}
WHITENOISE_ALLOW_ALL_ORIGINS = False

# --- mail ---------------------------------------------------------------------------------------
EMAIL_HOST = env.text("STUDIO_SMTP_HOST")
EMAIL_PORT = env.number("STUDIO_SMTP_PORT", 587)
EMAIL_HOST_USER = env.text("STUDIO_SMTP_USER")
EMAIL_HOST_PASSWORD = env.text("STUDIO_SMTP_PASSWORD")
EMAIL_USE_TLS = env.flag("STUDIO_SMTP_TLS", default=True)
EMAIL_TIMEOUT = 20
EMAIL_FILE_PATH = DATA_DIR / "mail"
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend"
    if EMAIL_HOST
    else "django.core.mail.backends.filebased.EmailBackend"
)
DEFAULT_FROM_EMAIL = env.text("STUDIO_MAIL_FROM", "studio@localhost")

# --- asked on the network, and only if the owner says where (studio/network_answer.py) -----------
GEOCODER_URL = env.web_address("STUDIO_GEOCODER_URL")
GEOCODER_TOKEN = env.text("STUDIO_GEOCODER_TOKEN")
ROAD_ROUTER_URL = env.web_address("STUDIO_ROUTER_URL")
ROAD_ROUTER_TOKEN = env.text("STUDIO_ROUTER_TOKEN")
NETWORK_SECONDS = 2.0

# --- words and times ----------------------------------------------------------------------------
LANGUAGE_CODE = "en-ie"
USE_I18N = False
USE_TZ = True
# Stored and computed in UTC; pages show the studio's own zone (studio.middleware).
TIME_ZONE = "UTC"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
