"""What every template can use."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from studio.models import Studio


def studio(request: HttpRequest) -> dict[str, Any]:
    """Give templates the studio, also on error pages that never met our middleware."""
    return {"studio": getattr(request, "studio", None) or Studio.unsaved_default()}
