"""Which surface another program means by a MIDI key.

Names of the keys are those of the General MIDI Level 1 percussion key map (MMA/AMEI, 1991). Our
figures know fewer pieces than General MIDI, so several keys share a surface: six toms become three,
two crashes one. Keys of hand percussion have no surface here and are listed by name when met.
"""

from __future__ import annotations

from exercises.rhythm.surfaces import Surface

GM_KEY_NAMES: dict[int, str] = {
    35: "Acoustic Bass Drum",
    36: "Bass Drum 1",
    37: "Side Stick",
    38: "Acoustic Snare",
    39: "Hand Clap",
    40: "Electric Snare",
    41: "Low Floor Tom",
    42: "Closed Hi Hat",
    43: "High Floor Tom",
    44: "Pedal Hi Hat",
    45: "Low Tom",
    46: "Open Hi Hat",
    47: "Low-Mid Tom",
    48: "Hi-Mid Tom",
    49: "Crash Cymbal 1",
    50: "High Tom",
    51: "Ride Cymbal 1",
    52: "Chinese Cymbal",
    53: "Ride Bell",
    54: "Tambourine",
    55: "Splash Cymbal",
    56: "Cowbell",
    57: "Crash Cymbal 2",
    58: "Vibraslap",
    59: "Ride Cymbal 2",
    60: "Hi Bongo",
    61: "Low Bongo",
    62: "Mute Hi Conga",
    63: "Open Hi Conga",
    64: "Low Conga",
    65: "High Timbale",
    66: "Low Timbale",
    67: "High Agogo",
    68: "Low Agogo",
    69: "Cabasa",
    70: "Maracas",
    71: "Short Whistle",
    72: "Long Whistle",
    73: "Short Guiro",
    74: "Long Guiro",
    75: "Claves",
    76: "Hi Wood Block",
    77: "Low Wood Block",
    78: "Mute Cuica",
    79: "Open Cuica",
    80: "Mute Triangle",
    81: "Open Triangle",
}

GM_SURFACES: dict[int, Surface] = {
    35: Surface.BASS_DRUM,
    36: Surface.BASS_DRUM,
    37: Surface.CROSS_STICK,
    38: Surface.SNARE,
    40: Surface.RIM_SHOT,
    41: Surface.FLOOR_TOM,
    42: Surface.HI_HAT,
    43: Surface.FLOOR_TOM,
    44: Surface.HI_HAT_FOOT,
    45: Surface.MID_TOM,
    46: Surface.HI_HAT_OPEN,
    47: Surface.MID_TOM,
    48: Surface.HIGH_TOM,
    49: Surface.CRASH,
    50: Surface.HIGH_TOM,
    51: Surface.RIDE,
    52: Surface.CHINA,
    53: Surface.RIDE_BELL,
    55: Surface.SPLASH,
    56: Surface.COWBELL,
    57: Surface.CRASH,
    59: Surface.RIDE,
    76: Surface.PAD,
}

# Zones of electronic kits: the hi-hat's edge, and the rim of the third tom where General MIDI has
# a vibraslap, which no drum set has. As found in the Groove MIDI Dataset (Gillick et al. 2019).
MAKER_SURFACES: dict[int, Surface] = {
    22: Surface.HI_HAT,
    26: Surface.HI_HAT_OPEN,
    58: Surface.FLOOR_TOM,
}


def key_words(key: int) -> str:
    """Return a key in words: "Tambourine (key 54)", or "key 3" where General MIDI has no name."""
    name = GM_KEY_NAMES.get(key)
    return f"key {key}" if name is None else f"{name} (key {key})"
