"""A figure engraved as SVG by Verovio, for a page or for the printed sheet.

A toolkit is made afresh for every engraving and told where its fonts are: the package's default is
set for the importing thread only, and a toolkit shared between threads mixes figures up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import verovio
from lxml import etree

from exercises.notation.drawing import SVG, Drawing, NoteLook, clean
from exercises.notation.glyphs import MUSIC_FONT
from exercises.notation.layout import Layout, screen_layout
from exercises.notation.musicxml_out import score
from exercises.notation.score_options import ScoreOptions
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure, Loudness
from exercises.rhythm.record import content_hash, default_prefix, stroke_id
from exercises.rhythm.surfaces import Mark

# The engraver counts a staff (four spaces) as 72 of its units, and draws in tenths of them.
_STAFF_UNITS = 72
_DRAWN_STAFF = 720

_OPTIONS: dict[str, object] = {
    "header": "none",
    "footer": "none",
    "breaks": "encoded",
    "adjustPageHeight": True,
    "svgViewBox": True,
    "svgRemoveXlink": True,
    "smuflTextFont": "none",
    "font": MUSIC_FONT,
    "lyricSize": 3.9,
    "beamMaxSlope": 0,
    "tupletAngledOnBeams": True,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 6,
    "pageMarginBottom": 6,
    "minLastJustification": 0.0,
}

# How far below the staff the letters stand, in half spaces: clear of the feet's stems and beams
# where there are any. The engraver itself keeps a quarter of a space only, and takes at most 8.
_LETTERS_UNDER_HANDS = 3.0
_LETTERS_UNDER_BASS_DRUM = 6.8
_LETTERS_UNDER_HI_HAT_FOOT = 8.0


class EngravingError(RhythmError):
    """The engraver could not draw a figure; ``str()`` of it holds what it said."""


@dataclass(frozen=True, slots=True)
class Engraved:
    """A figure drawn: the cleaned drawing and the layout that it was drawn for."""

    drawing: Drawing
    layout: Layout

    @property
    def scale(self) -> float:
        """Page units per unit of the drawing."""
        return self.layout.staff_height / _DRAWN_STAFF

    @property
    def width(self) -> float:
        """Width in page units."""
        return self.drawing.width * self.scale

    @property
    def height(self) -> float:
        """Height in page units."""
        return self.drawing.height * self.scale


def engrave(
    figure: Figure,
    *,
    width: int = 720,
    staff_px: float | None = None,
    bars_per_line: int | None = None,
    bpm: float | None = None,
    sticking: bool = False,
    counting: bool = False,
    prefix: str | None = None,
    left_handed_view: bool = False,
    is_repeated: bool = True,
    label: str = "",
    description: str = "",
) -> str:
    """Engrave a figure as an SVG element for a page that is ``width`` CSS pixels wide.

    Bars per line and, on narrow pages, the staff's size follow the width; ``staff_px`` sets the
    staff's height (four spaces) and ``bars_per_line`` the bars instead. The drawing is never wider
    than ``width``, but narrower where a short figure would look torn apart. Each notehead is a
    group whose id is the stroke's id and whose classes are ``note``, ``limb-rh`` (or lh, rf, lf)
    and where it applies ``ghost``, ``accent``, ``grace``. ``label`` becomes the accessible name and
    ``description`` the longer text for screen readers.

    The same input gives the same bytes, in every thread.

    :raises EngravingError: when the engraver refuses
    """
    options = ScoreOptions(
        bpm=bpm,
        sticking=sticking,
        counting=counting,
        prefix=prefix or default_prefix(figure),
        left_handed_view=left_handed_view,
        is_repeated=is_repeated,
    )
    engraved = engraved_for(
        figure, screen_layout(figure, width, staff_px, bars_per_line, counting=counting), options
    )
    return _svg_text(engraved, label, description)


def engraved_for(figure: Figure, layout: Layout, options: ScoreOptions) -> Engraved:
    """Engrave a figure for a layout that is already chosen.

    :raises EngravingError: when the engraver refuses
    """
    prefix = options.prefix or default_prefix(figure)
    music = score(
        figure,
        ScoreOptions(
            bpm=options.bpm,
            sticking=options.sticking,
            counting=options.counting,
            prefix=prefix,
            bars_per_line=layout.bars_per_line,
            left_handed_view=options.left_handed_view,
            is_repeated=options.is_repeated,
            for_drawing=True,
            cuts_bars=layout.cuts_bars,
        ),
    )
    page_width = int(layout.width_spaces * _STAFF_UNITS / 4)
    margin = _letters_margin(figure)
    svg = _verovio(music.decode(), page_width, margin, int(content_hash(figure)[:7], 16))
    return Engraved(clean(svg, _looks(figure, prefix), prefix), layout)


def _letters_margin(figure: Figure) -> float:
    struck = {stroke.surface for stroke in figure.strokes if stroke.limb.is_foot}
    if any(surface.facts.staff_step == "D" for surface in struck):
        return _LETTERS_UNDER_HI_HAT_FOOT
    return _LETTERS_UNDER_BASS_DRUM if struck else _LETTERS_UNDER_HANDS


def _verovio(music: str, page_width: int, letters_margin: float, seed: int) -> str:
    toolkit = verovio.toolkit(False)
    toolkit.setResourcePath(_fonts())
    toolkit.setOptions({**_OPTIONS, "pageWidth": page_width, "lyricTopMinMargin": letters_margin})
    toolkit.resetXmlIdSeed(seed)
    if not toolkit.loadData(music):
        raise EngravingError(f"the figure could not be engraved: {toolkit.getLog().strip()}")
    return str(toolkit.renderToSVG(1))


@lru_cache(maxsize=1)
def _fonts() -> str:
    return str(files("verovio") / "data")


def _looks(figure: Figure, prefix: str) -> dict[str, NoteLook]:
    looks: dict[str, NoteLook] = {}
    for stroke in figure.strokes:
        facts = stroke.surface.facts
        name = stroke_id(prefix, stroke)
        limb = f"limb-{stroke.limb.value.lower()}"
        loud = {Loudness.GHOST: " ghost", Loudness.ACCENT: " accent"}.get(stroke.loudness, "")
        is_half_open = facts.mark is Mark.HALF_OPEN
        looks[name] = NoteLook(f"note {limb}{loud}", facts.head, is_half_open)
        for number in range(1, stroke.ornament.graces + 1):
            other = f"limb-{stroke.limb.other_side.value.lower()}"
            looks[f"{name}-g{number}"] = NoteLook(f"note {other} grace", facts.head)
    return looks


def _svg_text(engraved: Engraved, label: str, description: str) -> str:
    root = engraved.drawing.root
    root.set("class", "music")
    root.set("width", f"{engraved.width:.0f}")
    root.set("height", f"{engraved.height:.0f}")
    if description:
        _told(root, "desc", description)
    if label:
        root.set("role", "img")
        root.set("aria-label", label)
        _told(root, "title", label)
    return etree.tostring(root, encoding="unicode")


def _told(root: etree._Element, tag: str, words: str) -> None:
    element = etree.Element(f"{{{SVG}}}{tag}")
    element.text = words
    root.insert(0, element)
