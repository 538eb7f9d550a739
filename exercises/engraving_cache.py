"""Pictures of figures, drawn once and kept by content.

A figure is small and a picture of it is always the same, so a picture is kept under the figure's
content hash, the version of what drew it, and the options: nothing ever has to be thrown away when
an exercise changes, and two exercises with the same figure share one picture.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.metadata import version
from importlib.resources import files
from typing import Literal
from urllib.parse import urlencode

from django.core.cache import caches
from django.utils.safestring import SafeString

from exercises.notation.engraving import engrave
from exercises.notation.lanes_picture import lanes_picture
from exercises.notation.wheel import limb_wheel
from exercises.rhythm.figure import Figure
from exercises.rhythm.hands import needs_sticking
from exercises.rhythm.record import content_hash, default_prefix

LEAST_WIDTH, MOST_WIDTH = 240, 1600
PHONE_WIDTH, DESK_WIDTH = 360, 760
_WIDTH_STEP = 40
# Read from a drum throne; the engraver shrinks it where one bar would not fit.
_LARGE_STAFF_PX = 68.0
_LANES_WIDTHS = {"wide": 640, "narrow": 320}


@dataclass(frozen=True, slots=True)
class NotationOptions:
    """How notation is drawn; ``width`` is in CSS pixels and falls to the step below.

    ``sticking`` None leaves it to the figure: R and L are written where the notes alone do not tell
    the hands apart. ``is_mirrored`` says that the figure was turned round for a left-handed kit.
    ``prefix`` begins the notes' ids instead of the figure's own (the figure being edited has one).
    """

    width: int = DESK_WIDTH
    sticking: bool | None = None
    counting: bool = False
    one_bar_a_line: bool = False
    is_mirrored: bool = False
    prefix: str | None = None

    @property
    def drawn_width(self) -> int:
        """The width as it is engraved: few widths, so that the cache is met again."""
        clamped = min(MOST_WIDTH, max(LEAST_WIDTH, self.width))
        return clamped - clamped % _WIDTH_STEP

    def has_sticking(self, figure: Figure) -> bool:
        """Return True when R and L stand under this figure's notes."""
        return needs_sticking(figure) if self.sticking is None else self.sticking

    @property
    def query(self) -> str:
        """What is drawn, as the end of an address."""
        said: dict[str, int] = {}
        if self.sticking is not None:
            said["sticking"] = int(self.sticking)
        if self.counting:
            said["counting"] = 1
        if self.is_mirrored:
            said["mirror"] = 1
        return urlencode(said)

    def sticking_toggled(self, figure: Figure) -> str:
        """Return the address of the same page with the sticking switched."""
        return f"?{replace(self, sticking=not self.has_sticking(figure)).query}"

    @property
    def counting_toggled(self) -> str:
        """The address of the same page with the counting switched."""
        return f"?{replace(self, counting=not self.counting).query}"

    @property
    def mirror_toggled(self) -> str:
        """The address of the same page for the other-handed player."""
        return f"?{replace(self, is_mirrored=not self.is_mirrored).query}"


def notation_svg(figure: Figure, options: NotationOptions) -> SafeString:
    """Return the engraved figure, ready to stand in a page.

    :raises EngravingError: when the engraver refuses; nothing is kept then
    """
    width = options.drawn_width
    sticking = options.has_sticking(figure)

    def draw() -> str:
        return engrave(
            figure,
            width=width,
            sticking=sticking,
            counting=options.counting,
            prefix=options.prefix,
            bars_per_line=1 if options.one_bar_a_line else None,
            staff_px=_LARGE_STAFF_PX if options.one_bar_a_line else None,
        )

    ways = f"{width}.{sticking:d}{options.counting:d}{options.one_bar_a_line:d}"
    ways += f".{options.prefix}" if options.prefix else ""
    return _kept("notation", figure, ways, draw)


def wheel_svg(figure: Figure, *, size: int) -> SafeString:
    """Return the figure's limb wheel."""
    return _kept("wheel", figure, str(size), lambda: limb_wheel(figure, size=size))


def lanes_svg(figure: Figure, *, room: Literal["wide", "narrow"]) -> SafeString:
    """Return the figure's four lanes; each mark can be lit by its stroke's id."""
    prefix, width = default_prefix(figure), _LANES_WIDTHS[room]

    def draw() -> str:
        return lanes_picture(figure, width=width, every_limb=True, prefix=prefix)

    return _kept("lanes", figure, room, draw)


def _kept(kind: str, figure: Figure, ways: str, draw: Callable[[], str]) -> SafeString:
    """Return the picture from the cache, or draw and keep it."""
    kept = caches["engraving"]
    key = f"{kind}:{renderer_version()}:{content_hash(figure)}:{ways}"
    picture: str | None = kept.get(key)
    if picture is None:
        picture = draw()
        kept.set(key, picture)
    # Our own renderers wrote it, from figures alone: no title or other text of a person's is in it.
    return SafeString(picture)


@lru_cache(maxsize=1)
def renderer_version() -> str:
    """Return what changes whenever the drawing may change: our renderers' sources and Verovio's.

    Made from the sources themselves, so that nobody can forget to raise a number.
    """
    sources = hashlib.sha256(version("verovio").encode())
    package = files("exercises.notation")
    for source in sorted(package.iterdir(), key=lambda entry: entry.name):
        if source.name.endswith(".py"):
            sources.update(source.read_bytes())
    for name in ("surfaces.py", "counting.py", "limbs.py"):
        sources.update((files("exercises.rhythm") / name).read_bytes())
    return sources.hexdigest()[:16]
