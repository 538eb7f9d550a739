"""MusicXML from a stranger, parsed safely: plain or compressed (.mxl).

Nothing outside the file is ever fetched, no entity is expanded, and a file is read only up to a
fixed size, whatever its headers claim.
"""

from __future__ import annotations

import zipfile
import zlib
from io import BytesIO
from typing import Any

from lxml import etree

from exercises.notation.imported import ImportRefused

MOST_BYTES = 2_000_000
MOST_UNPACKED_BYTES = 8_000_000
_MOST_ZIP_ENTRIES = 200
_MOST_CONTAINER_BYTES = 65_536
_ENTITIES = (
    "this file defines XML entities, which scores have no use for and which can be harmful; it "
    "was not read"
)
_CONTAINER = "META-INF/container.xml"


def parse_musicxml(data: bytes) -> etree._Element:
    """Return the root of a MusicXML score.

    :raises ImportRefused: when it is too big, not XML, not a score, or carries entities
    """
    if len(data) > MOST_BYTES:
        raise ImportRefused(
            f"this file has {len(data) / 1e6:.1f} MB; a score has at most {MOST_BYTES / 1e6:.0f} MB"
        )
    if data[:4] == b"PK\x03\x04":
        data = _unpacked(data)
    root = _parsed(data)
    if root.tag == "score-timewise":
        raise ImportRefused(
            "this score is written bar by bar across all parts (timewise); save it part by part "
            "(partwise), which is what programs usually do"
        )
    if root.tag != "score-partwise":
        raise ImportRefused("this is not a MusicXML score")
    return root


def _parsed(data: bytes) -> etree._Element:
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError, LookupError) as bad:
        if b"<!ENTITY" in data:
            raise ImportRefused(_ENTITIES) from bad
        raise ImportRefused("this is not a MusicXML file, or it is damaged") from bad
    dtd: Any = root.getroottree().docinfo.internalDTD  # the stubs do not know its methods
    if dtd is not None and dtd.entities():
        raise ImportRefused(_ENTITIES)
    return root


def _unpacked(data: bytes) -> bytes:
    """The score inside a compressed MusicXML file, found as MusicXML 4.0 says: by its container."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            if len(archive.namelist()) > _MOST_ZIP_ENTRIES:
                raise ImportRefused("this .mxl file holds far more files than a score needs")
            container = _parsed(_entry(archive, _CONTAINER, _MOST_CONTAINER_BYTES))
            path = next((e.get("full-path") for e in container.iter("{*}rootfile")), None)
            if not path:
                raise ImportRefused("this .mxl file does not say which of its files is the score")
            return _entry(archive, path, MOST_UNPACKED_BYTES)
    except KeyError as bad:
        raise ImportRefused("this is a zip file, but it has no score where .mxl has one") from bad
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as bad:
        if isinstance(bad, ImportRefused):
            raise
        raise ImportRefused("this .mxl file is damaged, or locked with a password") from bad


def _entry(archive: zipfile.ZipFile, path: str, most: int) -> bytes:
    # Other ways of packing are unpacked whole before they can be cut off: a few hundred bytes may
    # become gigabytes.
    if archive.getinfo(path).compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise ImportRefused("this .mxl file is packed in a way that scores are not; save it again")
    # Read one byte past the limit: the size in a zip's directory is only a claim.
    with archive.open(path) as entry:
        content = entry.read(most + 1)
    if len(content) > most:
        raise ImportRefused(
            f"this .mxl file unpacks to more than {most / 1e6:.1f} MB, which no drum part needs"
        )
    return content
