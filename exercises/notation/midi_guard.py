"""What a MIDI file must be like before anything is read from it.

A MIDI file is bytes from a stranger. This walks over its chunks and events without building
anything, so that a broken or oversized file is refused before it costs time. The layout is that of
the Standard MIDI Files 1.0 specification (MMA, RP-001).
"""

from __future__ import annotations

from exercises.notation.imported import ImportRefused

MOST_BYTES = 2_000_000
MOST_EVENTS = 80_000
MOST_TRACKS = 256
_DATA_BYTES = {0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}


def check_midi(data: bytes) -> None:
    """Refuse a file that is not a sound MIDI file of ordinary size.

    :raises ImportRefused: saying what is wrong
    """
    if len(data) > MOST_BYTES:
        raise ImportRefused(
            f"this file has {len(data) / 1e6:.1f} MB; a drum part has at most "
            f"{MOST_BYTES / 1e6:.0f} MB"
        )
    if data[:4] != b"MThd" or len(data) < 14:
        raise ImportRefused("this is not a MIDI file: it does not begin like one")
    header_length = int.from_bytes(data[4:8], "big")
    kind = int.from_bytes(data[8:10], "big")
    tracks = int.from_bytes(data[10:12], "big")
    division = int.from_bytes(data[12:14], "big")
    if header_length != 6 or kind > 1:
        raise ImportRefused("only MIDI files of type 0 and 1 are read; save it as one of these")
    if division & 0x8000:
        raise ImportRefused(
            "this MIDI file counts film frames instead of beats, so it has no bars to take"
        )
    if division == 0:
        raise ImportRefused("this MIDI file has no length for its beat")
    if not 1 <= tracks <= MOST_TRACKS:
        raise ImportRefused(f"a MIDI file has 1 to {MOST_TRACKS} tracks; this one says {tracks}")
    _check_tracks(data, tracks)


def _check_tracks(data: bytes, tracks: int) -> None:
    at = 14
    events = 0
    for number in range(1, tracks + 1):
        if data[at : at + 4] != b"MTrk":
            raise ImportRefused(f"this MIDI file breaks off or is damaged before track {number}")
        end = at + 8 + int.from_bytes(data[at + 4 : at + 8], "big")
        if end > len(data):
            raise ImportRefused(f"this MIDI file breaks off within track {number}")
        events = _walk(data, at + 8, end, events, number)
        at = end


def _walk(data: bytes, at: int, end: int, events: int, track: int) -> int:
    """Walk over one track's events and return how many there have been so far."""
    status = 0
    damaged = ImportRefused(f"this MIDI file is damaged within track {track}")
    while at < end:
        events += 1
        if events > MOST_EVENTS:
            raise ImportRefused(
                f"this MIDI file has more than {MOST_EVENTS} events; cut out the drum part and "
                "import that"
            )
        at = _skip_number(data, at, end, damaged)
        if at >= end:
            raise damaged
        first = data[at]
        if first >= 0xF0:
            at = _skip_special(data, at, end, damaged)
            continue
        if first >= 0x80:
            status = first
            at += 1
        elif not status:
            raise damaged
        stop = at + _DATA_BYTES[status >> 4]
        if stop > end or any(byte > 0x7F for byte in data[at:stop]):
            raise damaged
        at = stop
    return events


def _skip_special(data: bytes, at: int, end: int, damaged: ImportRefused) -> int:
    """Step over a meta event or a system message that carries its own length."""
    if data[at] == 0xFF:
        at += 2
    elif data[at] in (0xF0, 0xF7):
        at += 1
    else:
        raise damaged
    start = _skip_number(data, at, end, damaged)
    length = 0
    for byte in data[at:start]:
        length = length << 7 | byte & 0x7F
    if start + length > end:
        raise damaged
    return start + length


def _skip_number(data: bytes, at: int, end: int, damaged: ImportRefused) -> int:
    """Step over a variable-length number of at most four bytes."""
    for place in range(at, min(at + 4, end)):
        if data[place] < 0x80:
            return place + 1
    raise damaged
