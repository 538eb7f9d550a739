"""Those who want to hear that a place is somewhere else now.

A place is the studio's; what follows from it is the business of apps above. They say so once, in
their ``AppConfig.ready``; the page that changed a place tells them after its transaction is over.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from studio.models import Place

Listener = Callable[[Place, datetime], str]
_listeners: list[Listener] = []


def place_listener(listener: Listener) -> None:
    """Have this called after a position has changed; what it returns is told the teacher."""
    if listener not in _listeners:
        _listeners.append(listener)


def place_changed(place: Place, *, now: datetime) -> list[str]:
    """Tell everybody; return what they have to say."""
    return [said for listener in _listeners if (said := listener(place, now))]
