"""Engraved music on a reportlab canvas: the page's drawing, walked shape by shape as vectors."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from lxml import etree
from reportlab.pdfgen.canvas import Canvas

from exercises.notation.drawing import SVG
from exercises.notation.engraving import Engraved, engraved_for
from exercises.notation.flowable import Drawn
from exercises.notation.fonts import SERIF, SERIF_BOLD, register_fonts, runs
from exercises.notation.layout import layout
from exercises.notation.palette import LIMB_LOOKS
from exercises.notation.pdf_paths import path_operators
from exercises.notation.score_options import ScoreOptions
from exercises.rhythm.figure import Figure

STAFF_POINTS = 19.0
"""The staff's height in print: a shade under 7 mm, the size of printed parts."""

_PLACE = re.compile(r"translate\((-?[\d.e+]+),(-?[\d.e+]+)\) scale\((-?[\d.]+)\)")
_LIMB_CLASSES = {f"limb-{limb.value.lower()}": look for limb, look in LIMB_LOOKS.items()}
_CIRCLE = 0.5523


@dataclass(frozen=True, slots=True)
class _System:
    """One line of music in a drawing: its group and the stretch of height that is its own."""

    group: etree._Element
    top: float
    bottom: float


class Music(Drawn):
    """A figure as a flowable that engraves itself for the width it is given.

    The staff keeps its height; bars per line follow the width. It splits between lines of music.
    """

    def __init__(
        self,
        figure: Figure,
        options: ScoreOptions | None = None,
        *,
        staff: float = STAFF_POINTS,
        most_bars: int = 4,
        is_coloured: bool = False,
    ) -> None:
        super().__init__()
        self.figure = figure
        self.options = options or ScoreOptions()
        self.staff = staff
        self.most_bars = most_bars
        self.is_coloured = is_coloured
        self.engraved: Engraved | None = None
        self.systems: list[_System] = []

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """Engrave for the width and say how large the music is."""
        if self.engraved is None or abs(self.width - aW) > 0.01:
            chosen = layout(
                self.figure,
                aW,
                self.staff,
                most_bars=self.most_bars,
                counting=self.options.counting,
            )
            self.engraved = engraved_for(self.figure, chosen, self.options)
            self.systems = list(_systems(self.engraved))
            self.width = aW
        self.height = self._height(self.systems)
        return self.engraved.width, self.height

    def _height(self, systems: list[_System]) -> float:
        if not systems or self.engraved is None:
            return 0.0
        return (systems[-1].bottom - systems[0].top) * self.engraved.scale

    def split(self, aW: float, aH: float) -> list[Drawn]:  # noqa: N803 - reportlab's names
        """Cut between lines of music: as many as fit, then the rest."""
        self.wrap(aW, aH)
        fitting = 0
        while fitting < len(self.systems) and self._height(self.systems[: fitting + 1]) <= aH:
            fitting += 1
        if fitting in (0, len(self.systems)):
            return [self] if fitting else []
        return [self._part(self.systems[:fitting]), self._part(self.systems[fitting:])]

    def _part(self, systems: list[_System]) -> Music:
        part = Music(
            self.figure,
            self.options,
            staff=self.staff,
            most_bars=self.most_bars,
            is_coloured=self.is_coloured,
        )
        part.engraved, part.systems, part.width = self.engraved, systems, self.width
        return part

    def draw(self) -> None:
        """Draw the lines of music at the canvas's origin."""
        if self.engraved is None or not self.systems:
            return
        groups = [system.group for system in self.systems]
        top = self.systems[0].top
        draw_groups(
            self.canv, self.engraved, groups, top, self.height, is_coloured=self.is_coloured
        )


def _systems(engraved: Engraved) -> Iterator[_System]:
    """The lines of music and their shares of the height, cut half-way between staves."""
    every = engraved.drawing.root.iter(f"{{{SVG}}}g")
    groups = [group for group in every if group.get("class") == "system"]
    staves = [_staff_extent(group) for group in groups]
    for index, group in enumerate(groups):
        top = (staves[index - 1][1] + staves[index][0]) / 2 if index else 0.0
        is_last = index == len(groups) - 1
        bottom = (
            engraved.drawing.height if is_last else (staves[index][1] + staves[index + 1][0]) / 2
        )
        yield _System(group, top, bottom)


def _staff_extent(group: etree._Element) -> tuple[float, float]:
    """Top and bottom staff line: the long level lines of a system."""
    levels = []
    for path in group.iter(f"{{{SVG}}}path"):
        match = re.fullmatch(r"M(\S+) (\S+) L(\S+) (\S+)", path.get("d", ""))
        if match and match[2] == match[4] and float(match[3]) - float(match[1]) > 700:
            levels.append(float(match[2]))
    return (min(levels), max(levels)) if levels else (0.0, 0.0)


def draw_music(
    canvas: Canvas, engraved: Engraved, x: float, y: float, *, is_coloured: bool = False
) -> None:
    """Draw a whole engraving, its lower left corner at ``x``, ``y`` (points)."""
    canvas.saveState()
    canvas.translate(x, y)
    body = engraved.drawing.root.find(f"{{{SVG}}}g")
    if body is not None:
        draw_groups(canvas, engraved, [body], 0.0, engraved.height, is_coloured=is_coloured)
    canvas.restoreState()


def draw_groups(
    canvas: Canvas,
    engraved: Engraved,
    groups: list[etree._Element],
    top: float,
    height: float,
    *,
    is_coloured: bool,
) -> None:
    """Draw some of an engraving's groups; ``top`` in the drawing comes to ``height`` points."""
    walk = _Walk(engraved, is_coloured=is_coloured)
    for group in groups:
        walk.element(group)
    scale = engraved.scale
    rise = height + top * scale
    canvas.saveState()
    canvas.addLiteral(f"q {scale:.6g} 0 0 {-scale:.6g} 0 {rise:.6g} cm 0 g 0 G")
    canvas.addLiteral("\n".join(walk.operators))
    canvas.addLiteral("Q")
    for text in walk.texts:
        _draw_text(canvas, text, scale, rise)
    canvas.restoreState()


class _Walk:
    """One pass over the cleaned drawing, collecting PDF operators and texts."""

    def __init__(self, engraved: Engraved, *, is_coloured: bool) -> None:
        self.glyphs = engraved.drawing.glyphs
        self.is_coloured = is_coloured
        self.operators: list[str] = []
        self.texts: list[etree._Element] = []

    def element(self, element: etree._Element) -> None:
        tag = etree.QName(element).localname
        if tag == "g":
            self._group(element)
        elif tag == "use":
            self._glyph(element)
        elif tag == "text":
            self.texts.append(element)
        else:
            self._shape(element, tag)

    def _group(self, element: etree._Element) -> None:
        colour = self._colour(element)
        if colour:
            self.operators.append(f"q {colour}")
        for child in element:
            self.element(child)
        if colour:
            self.operators.append("Q")

    def _colour(self, element: etree._Element) -> str:
        if not self.is_coloured:
            return ""
        for name in element.get("class", "").split():
            if name in _LIMB_CLASSES:
                hexed = _LIMB_CLASSES[name].colour
                parts = [int(hexed[i : i + 2], 16) / 255 for i in (1, 3, 5)]
                numbers = " ".join(f"{part:.3f}" for part in parts)
                return f"{numbers} rg {numbers} RG"
        return ""

    def _glyph(self, use: etree._Element) -> None:
        code = use.get("href", "").rpartition("-")[2]
        place = _PLACE.fullmatch(use.get("transform", ""))
        if place is None:
            raise ValueError(f"a glyph stands in a way not known here: {use.get('transform')}")
        x, y, scale = place.groups()
        outline = path_operators(self.glyphs[code])
        # Glyph outlines are drawn y upwards in a drawing that is y downwards.
        self.operators.append(f"q {scale} 0 0 -{scale} {x} {y} cm {outline} f Q")

    def _shape(self, element: etree._Element, tag: str) -> None:
        data = _SHAPES[tag](element)
        width = element.get("stroke-width")
        is_filled = element.get("fill") != "none" and not _is_line(element, tag)
        if width is None:
            self.operators.append(f"{data} f")
            return
        paint = "B" if is_filled else "S"
        self.operators.append(f"{width} w {data} {paint}")


def _is_line(element: etree._Element, tag: str) -> bool:
    return tag == "path" and "C" not in element.get("d", "").upper()


def _points(element: etree._Element) -> list[tuple[str, str]]:
    return [
        (x, y) for x, _, y in (pair.partition(",") for pair in element.get("points", "").split())
    ]


def _polyline(element: etree._Element) -> str:
    (x, y), *others = _points(element)
    return f"{x} {y} m " + " ".join(f"{px} {py} l" for px, py in others)


def _polygon(element: etree._Element) -> str:
    return _polyline(element) + " h"


def _ellipse(element: etree._Element) -> str:
    x, y, rx, ry = (float(element.get(name, "0")) for name in ("cx", "cy", "rx", "ry"))
    kx, ky = rx * _CIRCLE, ry * _CIRCLE
    return (
        f"{x + rx:g} {y:g} m "
        f"{x + rx:g} {y + ky:g} {x + kx:g} {y + ry:g} {x:g} {y + ry:g} c "
        f"{x - kx:g} {y + ry:g} {x - rx:g} {y + ky:g} {x - rx:g} {y:g} c "
        f"{x - rx:g} {y - ky:g} {x - kx:g} {y - ry:g} {x:g} {y - ry:g} c "
        f"{x + kx:g} {y - ry:g} {x + rx:g} {y - ky:g} {x + rx:g} {y:g} c h"
    )


def _path(element: etree._Element) -> str:
    return path_operators(element.get("d", ""))


_SHAPES = {"polygon": _polygon, "polyline": _polyline, "ellipse": _ellipse, "path": _path}


def _draw_text(canvas: Canvas, text: etree._Element, scale: float, rise: float) -> None:
    register_fonts()
    face = SERIF_BOLD if text.get("font-weight") == "bold" else SERIF
    size = float(text.get("font-size", "0")) * scale
    x = float(text.get("x", "0")) * scale
    y = rise - float(text.get("y", "0")) * scale
    for font, words in runs(text.text or "", face):
        canvas.setFont(font, size)
        canvas.drawString(x, y, words)
        x += canvas.stringWidth(words, font, size)
