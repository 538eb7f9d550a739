"""Two short ways to grow an XML tree, and the characters that XML can carry."""

from __future__ import annotations

from lxml import etree


def sub(parent: etree._Element, tag: str, **attributes: str) -> etree._Element:
    """Append an element and return it."""
    return etree.SubElement(parent, tag, attributes)


def text(parent: etree._Element, tag: str, words: str) -> etree._Element:
    """Append an element that holds only text and return it."""
    element = etree.SubElement(parent, tag)
    element.text = words
    return element


def printable(words: str) -> str:
    """The text without the control characters that XML 1.0 cannot carry (section 2.2)."""
    return "".join(c for c in words if _is_character(ord(c)))


def _is_character(code: int) -> bool:
    if code < 0x20:
        return code in (0x9, 0xA)
    return not 0xD800 <= code <= 0xDFFF and code not in (0xFFFE, 0xFFFF)
