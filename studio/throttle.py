"""How often one address may try something that could be guessed."""

from __future__ import annotations

import time

from allauth.account.adapter import get_adapter
from django.core.cache import cache
from django.http import HttpRequest


def is_allowed(request: HttpRequest, *, action: str, most: int, seconds: int) -> bool:
    """Count one try from the request's address; False after ``most`` in one span of ``seconds``.

    Tries at the very same moment may be counted as one; what is guarded here is signed anyway.

    The address is the one the sign-in library trusts: the socket's, or a proxy's word for it where
    STUDIO_PROXIES says how many proxies stand before us.
    """
    window = int(time.time() // seconds)
    key = f"throttle:{action}:{get_adapter(request).get_client_ip(request)}:{window}"
    tries = int(cache.get(key, 0)) + 1
    cache.set(key, tries, timeout=2 * seconds)
    return tries <= most
