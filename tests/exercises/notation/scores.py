"""MusicXML drum parts as other programs write them, built in code.

One two-beat bar, written in six conventions that programs are known to use. They say the same:
hi-hat and bass drum together, a ghosted snare, then a snare with an accent and a grace note, and
the bass drum once more.
"""

from __future__ import annotations

import zipfile
from io import BytesIO

CONVENTIONS = ("full", "sound_only", "name_only", "place_only", "pitched", "lone_instruments")

_PIECES = {
    # ident: name, General MIDI key, step, octave, notehead
    "hat": ("Closed Hi-Hat", 42, "G", 5, "x"),
    "snare": ("Snare Drum", 38, "C", 5, "normal"),
    "bass": ("Bass Drum 1", 36, "F", 4, "normal"),
}
_PITCHES = {36: ("C", 0, 2), 38: ("D", 0, 2), 42: ("F", 1, 2)}


def note(
    piece: str,
    convention: str = "full",
    *,
    duration: int = 1,
    voice: int = 1,
    chord: bool = False,
    grace: bool = False,
    ghost: bool = False,
    accent: bool = False,
    inside: str = "",
) -> str:
    """One ``<note>``; ``inside`` goes before its end."""
    _, key, step, octave, head = _PIECES[piece]
    parts = ["<note>"]
    parts += ["<grace/>"] * grace
    parts += ["<chord/>"] * chord
    if convention == "pitched":
        letter, sharp, low = _PITCHES[key]
        parts.append(f"<pitch><step>{letter}</step><alter>{sharp}</alter>")
        parts.append(f"<octave>{low}</octave></pitch>")
    elif convention == "sound_only":
        parts.append("<unpitched/>")
    else:
        place = f"<display-step>{step}</display-step><display-octave>{octave}</display-octave>"
        parts.append(f"<unpitched>{place}</unpitched>")
    if not grace:
        parts.append(f"<duration>{duration}</duration>")
    if convention not in ("place_only", "pitched"):
        parts.append(f'<instrument id="P1-{piece}"/>')
    parts.append(f"<voice>{voice}</voice>")
    if ghost:
        parts.append(f'<notehead parentheses="yes">{head}</notehead>')
    elif head != "normal":
        parts.append(f"<notehead>{head}</notehead>")
    if accent:
        parts.append("<notations><articulations><accent/></articulations></notations>")
    parts += [inside, "</note>"]
    return "".join(parts)


def part_head(convention: str = "full", name: str = "Drumset") -> str:
    """The ``<score-part>`` with its instruments, as far as the convention has any."""
    parts = [f'<score-part id="P1"><part-name>{name}</part-name>']
    if convention not in ("place_only", "pitched"):
        for ident, (title, *_) in _PIECES.items():
            shown = "Drum" if convention in ("sound_only", "lone_instruments") else title
            parts.append(
                f'<score-instrument id="P1-{ident}"><instrument-name>{shown}</instrument-name>'
                "</score-instrument>"
            )
    if convention in ("full", "sound_only"):
        for ident, (_, key, *_) in _PIECES.items():
            parts.append(
                f'<midi-instrument id="P1-{ident}"><midi-channel>10</midi-channel>'
                f"<midi-unpitched>{key + 1}</midi-unpitched></midi-instrument>"
            )
    parts.append("</score-part>")
    return "".join(parts)


ATTRIBUTES = (
    "<attributes><divisions>2</divisions><time><beats>2</beats><beat-type>4</beat-type></time>"
    "<clef><sign>percussion</sign></clef></attributes>"
)


def score(measures: str, *, head: str | None = None, before: str = "") -> bytes:
    """A score of one part."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>'
        f'<score-partwise version="4.0">{before}<part-list>{head or part_head()}</part-list>'
        f'<part id="P1">{measures}</part></score-partwise>'
    ).encode()


def two_beats(convention: str) -> bytes:
    """The bar that all conventions write: see the head of this module."""
    hands = [
        note("hat", convention),
        note("bass", convention, chord=True),
        note("snare", convention, ghost=True),
        note("snare", convention, grace=True),
        note("snare", convention, accent=True),
        "<forward><duration>1</duration></forward>",
    ]
    feet = [
        "<backup><duration>4</duration></backup>",
        '<note print-object="no"><rest/><duration>3</duration><voice>2</voice></note>',
        note("bass", convention, voice=2),
    ]
    bar = f'<measure number="1">{ATTRIBUTES}{"".join(hands)}{"".join(feet)}</measure>'
    return score(bar, head=part_head(convention))


def compressed(content: bytes, *, path: str = "score.xml", container: bytes | None = None) -> bytes:
    """An .mxl file with this score in it."""
    pointer = container or (
        f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'.encode()
    )
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", pointer)
        archive.writestr(path, content)
    return out.getvalue()
