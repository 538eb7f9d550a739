"""The settings under test: production's, with fast hashing, memory for mail and plain static files.

The database is the one that DATABASE_URL names, else SQLite in a file of its own, because threads
and processes must be able to share it.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

_DATA = os.environ.setdefault(
    "STUDIO_DATA", str(Path(tempfile.gettempdir()) / f"studio-tests-{os.getpid()}")
)
os.environ.setdefault("STUDIO_HOSTS", "testserver,localhost,127.0.0.1")
os.environ.setdefault("STUDIO_HTTPS", "0")
os.environ.setdefault("STUDIO_SECRET_KEY", "tests only " * 8)

from studio.settings import *  # noqa: E402, F403
from studio.settings import DATABASES, STORAGES  # noqa: E402

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_AUTOREFRESH = True
# Tests do long work in their own process, or start the command themselves.
LONG_WORK_IN_CHILDREN = False
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "default"},
    "engraving": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "engraving",
    },
}
# The live server's threads must not hold on to the database after their last answer: PostgreSQL
# would not let it be dropped.
DATABASES = {"default": {**DATABASES["default"], "CONN_MAX_AGE": 0}}
