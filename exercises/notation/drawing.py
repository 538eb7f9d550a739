"""The engraver's SVG made fit for our pages: a small vocabulary, no styles, ids that mean strokes.

What comes out holds ``svg``, ``title``, ``desc``, ``defs``, ``g``, ``use``, ``path``, ``polygon``,
``polyline``, ``ellipse`` and ``text`` only, with presentation attributes and never a style, so that
a page with a strict content security policy draws it. Colour is ``currentColor`` throughout. The
only ids are those of strokes (on the notehead's group) and of glyph outlines.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from lxml import etree

from exercises.notation import glyphs
from exercises.rhythm.surfaces import Head

SVG = "http://www.w3.org/2000/svg"
_GLYPH_ID = re.compile(r"#?([0-9A-F]{4,5})-\w+")
_PLACE = re.compile(r"translate\((-?[\d.]+), (-?[\d.]+)\)(?: scale\((-?[\d.]+), (-?[\d.]+)\))?")
_SKIPPED = frozenset({"placeholder", "mNum", "systemMilestone", "pageMilestone"})
_KEPT_CLASSES = frozenset({"system", "measure", "rest", "beam", "tuplet", "artic"})
_SHAPES = frozenset({"path", "polygon", "polyline", "ellipse"})
_SHAPE_ATTRIBUTES = (
    *("d", "points", "cx", "cy", "rx", "ry", "fill"),
    *("stroke-width", "stroke-linecap", "stroke-linejoin"),
)
# The engraver sets a buzz's z at full size on a stem that leaves no room for it under a beam.
_BUZZ_SHARE = 0.72
_REPLACED = {
    Head.TRIANGLE: glyphs.NOTEHEAD_TRIANGLE,
    Head.SLASHED: glyphs.NOTEHEAD_SLASHED,
}


@dataclass(frozen=True, slots=True)
class NoteLook:
    """What the drawing must know of a stroke that the engraver does not say."""

    classes: str
    head: Head
    is_half_open: bool = False


@dataclass(slots=True)
class Drawing:
    """A cleaned engraving: its root element and its size in tenths of an engraver's unit."""

    root: etree._Element
    width: float
    height: float
    glyphs: dict[str, str] = field(default_factory=dict)


def clean(svg: str, looks: Mapping[str, NoteLook], prefix: str) -> Drawing:
    """Rebuild the engraver's SVG from what it draws.

    ``looks`` maps the ids of strokes (and grace notes) to their looks; ``prefix`` starts the ids of
    the glyph outlines.
    """
    source = etree.fromstring(svg.encode())
    inner = source.find(f"{{{SVG}}}svg")
    if inner is None:
        raise ValueError("the engraver's drawing has no inner picture")
    _, _, width, height = (float(n) for n in inner.get("viewBox", "0 0 0 0").split())
    root = etree.fromstring(f'<svg xmlns="{SVG}" viewBox="0 0 {width:g} {height:g}"/>')
    defs = _sub(root, "defs")
    cleaner = _Cleaner(source, looks, prefix)
    body = _sub(root, "g", fill="currentColor")
    body.set("font-family", "Times, serif")
    for child in inner:
        cleaner.walk(child, body)
    for code, outline in cleaner.used.items():
        _sub(defs, "path", id=f"{prefix}-{code}", transform="scale(1,-1)", d=outline)
    return Drawing(root, width, height, dict(cleaner.used))


class _Cleaner:
    """One pass over the engraver's tree."""

    def __init__(self, source: etree._Element, looks: Mapping[str, NoteLook], prefix: str) -> None:
        self.looks = looks
        self.prefix = prefix
        self.used: dict[str, str] = {}
        self.outlines = dict(_outlines(source))
        self.in_half_open = False

    def walk(self, element: etree._Element, into: etree._Element) -> None:
        """Copy what ``element`` draws into ``into``."""
        tag = etree.QName(element).localname
        if tag == "g":
            self._group(element, into)
        elif tag == "use":
            self._glyph(element, into)
        elif tag in _SHAPES:
            _shape(element, tag, into)
        elif tag == "text":
            self._text(element, into)

    def _group(self, element: etree._Element, into: etree._Element) -> None:
        classes = element.get("class", "").split()
        if _SKIPPED.intersection(classes):
            return
        before = self.in_half_open
        if "note" in classes or "chord" in classes:
            self.in_half_open = before or self._has_half_open(element)
        if "note" in classes and element.get("id", "") in self.looks:
            self._note(element, into)
        else:
            self._plain_group(element, classes, into)
        self.in_half_open = before

    def _plain_group(
        self, element: etree._Element, classes: list[str], into: etree._Element
    ) -> None:
        kept = [name for name in classes if name in _KEPT_CLASSES]
        target = _sub(into, "g", **{"class": kept[0]}) if kept else into
        for child in element:
            self.walk(child, target)
        if target is not into and not len(target):
            into.remove(target)

    def _has_half_open(self, element: etree._Element) -> bool:
        own = (element, *element.iterfind(f".//{{{SVG}}}g[@class='note']"))
        looks = (self.looks.get(note.get("id", "")) for note in own)
        return any(look.is_half_open for look in looks if look)

    def _note(self, element: etree._Element, into: etree._Element) -> None:
        """Give the heads their stroke's id and class; what hangs on them stays beside."""
        look = self.looks[element.get("id", "")]
        note = _sub(into, "g", id=element.get("id", ""), **{"class": look.classes})
        for child in element:
            if child.get("class") == "notehead":
                for glyph in child:
                    self._glyph(glyph, note, look)
            else:
                self.walk(child, into)

    def _glyph(
        self, use: etree._Element, into: etree._Element, look: NoteLook | None = None
    ) -> None:
        match = _GLYPH_ID.fullmatch(use.get("href", ""))
        place = _PLACE.fullmatch(use.get("transform", ""))
        if match is None or place is None:
            raise ValueError(f"the engraver placed a glyph in a way not known here: {use.attrib}")
        code = match[1]
        if look and code == glyphs.NOTEHEAD_BLACK and look.head in _REPLACED:
            code = _REPLACED[look.head]
        x, y, scale = float(place[1]), float(place[2]), float(place[3] or 1)
        if code == glyphs.BUZZ:
            scale *= _BUZZ_SHARE
        self.place(code, x, y, scale, into)
        if self.in_half_open and code == glyphs.OPEN_MARK:
            # The mark is a ring 280 font units across that stands on its base line; the stroke
            # crosses its middle and ends before it meets an accent or a beam below.
            near, far, low, high = (n * scale for n in (10, 270, 30, -310))
            stroke = f"M{x + near:g} {y + low:g}L{x + far:g} {y + high:g}"
            _sub(into, "path", d=stroke, stroke="currentColor", **{"stroke-width": "20"})

    def place(self, code: str, x: float, y: float, scale: float, into: etree._Element) -> None:
        """Draw one glyph at a place."""
        if code not in self.used:
            self.used[code] = self.outlines.get(code) or glyphs.outline(code)
        move = f"translate({x:g},{y:g}) scale({scale:g})"
        _sub(into, "use", href=f"#{self.prefix}-{code}", transform=move)

    def _text(self, element: etree._Element, into: etree._Element) -> None:
        """Flatten nested spans; music glyphs among the words become outlines."""
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        is_tempo = "tempo" in (element.getparent().get("class") or "")  # type: ignore[union-attr]
        for words, size, is_music in _runs(element):
            if is_music:
                for character in words.replace(" ", ""):
                    code = f"{ord(character):04X}"
                    self.place(code, x, y, size / 1000, into)
                    x += glyphs.advance(code) * size / 1000
                continue
            text = _sub(into, "text", x=f"{x:g}", y=f"{y:g}")
            text.set("font-size", f"{size:g}")
            text.text = words
            if is_tempo:
                text.set("font-weight", "bold")


def _outlines(source: etree._Element) -> Iterator[tuple[str, str]]:
    for definition in source.iterfind(f"{{{SVG}}}defs/{{{SVG}}}g"):
        match = _GLYPH_ID.fullmatch(definition.get("id", ""))
        path = definition.find(f"{{{SVG}}}path")
        if match is not None and path is not None:
            yield match[1], path.get("d", "")


def _runs(element: etree._Element) -> Iterator[tuple[str, float, bool]]:
    """Stretches of text of one size: words, size, and whether they are music glyphs."""
    runs: list[tuple[str, float, bool]] = []
    for span in element.iter(f"{{{SVG}}}tspan"):
        words = span.text
        if not words or len(span) or not words.strip():
            continue
        size = float(span.get("font-size", "0px").removesuffix("px"))
        is_music = span.get("font-family") == glyphs.MUSIC_FONT
        if runs and runs[-1][1:] == (size, is_music):
            words = runs.pop()[0] + words
        runs.append((words, size, is_music))
    yield from runs


def _shape(element: etree._Element, tag: str, into: etree._Element) -> None:
    attributes = {
        name: value for name in _SHAPE_ATTRIBUTES if (value := element.get(name)) is not None
    }
    if "stroke-width" in attributes:
        attributes["stroke"] = "currentColor"
    _sub(into, tag, **attributes)


def _sub(parent: etree._Element, tag: str, **attributes: str) -> etree._Element:
    return etree.SubElement(parent, f"{{{SVG}}}{tag}", attributes)
