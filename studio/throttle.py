"""How often one address may try something that could be guessed."""

from __future__ import annotations

from allauth.account.adapter import get_adapter
from django.core.cache import cache
from django.http import HttpRequest


def is_allowed(request: HttpRequest, *, action: str, most: int, seconds: int) -> bool:
    """Count one try from the request's address; False when there were ``most`` in the last while.

    The address is the one the sign-in library trusts: the socket's, or a proxy's word for it where
    STUDIO_PROXIES says how many proxies stand before us.
    """
    key = f"throttle:{action}:{get_adapter(request).get_client_ip(request)}"
    cache.add(key, 0, timeout=seconds)
    try:
        tries = cache.incr(key)
    except ValueError:
        # It ran out between the two calls: this is the first try of the next while.
        cache.set(key, 1, timeout=seconds)
        tries = 1
    return tries <= most
