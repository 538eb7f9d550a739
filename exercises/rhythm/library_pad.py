"""Core figures for a practice pad alone."""

from __future__ import annotations

from exercises.rhythm.library_entry import Entry

PAD: tuple[Entry, ...] = (
    Entry(
        "pad-paradiddle",
        "pad work",
        ("paradiddle", "accents"),
        80,
        """4/4 Paradiddle with accents
RH pad: X.xx .x.. X.xx .x..
LH pad: .x.. X.xx .x.. X.xx""",
        "pad",
    ),
    Entry(
        "pad-moving-accent",
        "pad work",
        ("accents", "single strokes"),
        76,
        """4/4 The accent that wanders
RH pad: X.x. x.x. x.X. x.x.
LH pad: .x.x .X.x .x.x .x.X""",
        "pad",
    ),
    Entry(
        "pad-triplet-doubles",
        "pad work",
        ("double strokes", "weaker hand leads"),
        70,
        """4/4 Doubles in triplets, left first
RH pad: ..x x.. xx. .xx
LH pad: Xx. .Xx ..X x..""",
        "pad",
    ),
    Entry(
        "pad-flam-taps",
        "pad work",
        ("flams", "triplets"),
        64,
        """12/8 Flam, tap, tap
RH pad: F.x .x. F.x .x.
LH pad: .x. F.x .x. F.x""",
        "pad",
    ),
    Entry(
        "pad-subdivisions",
        "pad work",
        ("changing subdivision", "single strokes"),
        60,
        """4/4 Twos, threes, fours, sixes
RH pad: x. x.x .x.x x.x.x. | x. x.x .x.x x.x.x.
LH pad: .x .x. x.x. .x.x.x | .x .x. x.x. .x.x.x""",
        "pad",
    ),
    Entry(
        "pad-thirty-second-doubles",
        "pad work",
        ("double strokes", "thirty-seconds"),
        56,
        """4/4 Sixteenths that open into doubles
RH pad: x.x. xx..xx.. x.x. xx..xx..
LH pad: .x.x ..xx..xx .x.x ..xx..xx""",
        "pad",
    ),
    Entry(
        "pad-three-heights",
        "pad work",
        ("stick heights", "accents"),
        69,
        """4/4 Three heights of the stick
RH pad: X.x. g.x. X.x. g.x.
LH pad: .g.X .x.g .g.X .x.g""",
        "pad",
    ),
    Entry(
        "pad-sextuplets",
        "pad work",
        ("sextuplets", "single strokes"),
        54,
        """4/4 Six to the beat
RH pad: X.x.x. X.x.x. X.x.x. X.x.x.
LH pad: .x.x.x .x.x.x .x.x.x .x.x.x""",
        "pad",
    ),
)
