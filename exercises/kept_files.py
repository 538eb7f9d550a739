"""Uploaded files kept for the next look, so that nobody is asked for the same file twice.

A file is kept for half an hour, for one person, under a key that cannot be guessed; of one person's
files only the last few stay.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass

from django.core.cache import cache

from studio.uploads import LARGEST_UPLOAD_BYTES

KEPT_FOR_SECONDS = 30 * 60
MOST_FILES = 4
_KEY = re.compile(r"[A-Za-z0-9_-]{32}")


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file as it was uploaded, and the key under which it is kept."""

    key: str
    name: str
    content: bytes


def keep_file(*, user_pk: int, name: str, content: bytes) -> KeptFile:
    """Keep a file for this person; the oldest of more than four is forgotten.

    :raises ValueError: when it is larger than any upload may be
    """
    if len(content) > LARGEST_UPLOAD_BYTES:
        raise ValueError(f"a kept file has at most {LARGEST_UPLOAD_BYTES} bytes")
    kept = KeptFile(secrets.token_urlsafe(24), name, content)
    keys: list[str] = [*cache.get(_list(user_pk), []), kept.key]
    cache.delete_many([_entry(user_pk, key) for key in keys[:-MOST_FILES]])
    cache.set(_entry(user_pk, kept.key), (name, content), KEPT_FOR_SECONDS)
    cache.set(_list(user_pk), keys[-MOST_FILES:], KEPT_FOR_SECONDS)
    return kept


def kept_file(*, user_pk: int, key: str) -> KeptFile | None:
    """Return a file this person uploaded, or None when it is gone or was never theirs.

    A look keeps it for another half an hour.
    """
    if not _KEY.fullmatch(key):
        return None
    found: tuple[str, bytes] | None = cache.get(_entry(user_pk, key))
    if found is None:
        return None
    cache.touch(_entry(user_pk, key), KEPT_FOR_SECONDS)
    cache.touch(_list(user_pk), KEPT_FOR_SECONDS)
    return KeptFile(key, *found)


def _entry(user_pk: int, key: str) -> str:
    return f"import-file-{user_pk}-{key}"


def _list(user_pk: int) -> str:
    return f"import-files-{user_pk}"
