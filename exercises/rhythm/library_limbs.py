"""Core figures for one limb or one skill: odd meters, feet, weaker hand, balance, pad."""

from __future__ import annotations

from exercises.rhythm.library_entry import Entry

LIMBS: tuple[Entry, ...] = (
    Entry(
        "five-quarters",
        "odd meters",
        ("five in the bar", "backbeats on two and four"),
        92,
        """5/4 Five, three and two
RH hi-hat:    xx xx xx xx xx
LH snare:     .. X. .. X. ..
RF bass-drum: x. .x .. .. xx""",
    ),
    Entry(
        "seven-eighths",
        "odd meters",
        ("seven in the bar", "two, two and three"),
        96,
        """7/8 Two, two and three
RH hi-hat:    xx xx xxx
LH snare:     .. X. X..
RF bass-drum: x. .. ..x""",
    ),
    Entry(
        "five-eighths",
        "odd meters",
        ("five in the bar", "two and three"),
        92,
        """5/8 Two and three
RH ride:      xx xxx
LH snare:     .. X..
RF bass-drum: x. ..x
LF:           .. x..""",
    ),
    Entry(
        "nine-eighths",
        "odd meters",
        ("compound meter", "three beats of three"),
        66,
        """9/8 Three threes
RH hi-hat:    xxx xxx xxx
LH snare:     ... ... X..
RF bass-drum: x.. ..x ...""",
    ),
    Entry(
        "seven-quarters",
        "odd meters",
        ("seven beats to the bar", "backbeat"),
        96,
        """7/4 Seven quarters
RH hi-hat:    xx xx xx xx xx xx xx
LH snare:     .. X. .. X. .. X. ..
RF bass-drum: x. .. x. .. xx .. .x""",
    ),
    Entry(
        "seven-eighths-sixteenths",
        "odd meters",
        ("seven eighths to the bar", "ghost notes"),
        76,
        """7/8 Seven eighths, filled in
RH hi-hat:    x.x. x.x. x.x.x.
LH snare:     .... X..g .g..X.
RF bass-drum: x..x ..x. ..x...""",
    ),
    Entry(
        "feet-in-turn",
        "foot independence",
        ("right foot against left foot", "hands on automatic"),
        76,
        """4/4 Feet in turn
RH ride:      x  x  x  x
RF bass-drum: x. x. x. xx
LF:           .x .x .x ..""",
    ),
    Entry(
        "feet-three-over-two",
        "foot independence",
        ("three against two", "right foot against left foot"),
        80,
        """6/8 Three in one foot, two in the other
RH ride-bell: x.. x..
RF bass-drum: x.x .x.
LF:           x.. x..""",
    ),
    Entry(
        "left-foot-three-two",
        "foot independence",
        ("hi-hat foot", "left foot pattern over two bars"),
        72,
        """4/4 A pattern for the left foot
RH ride:        x. x. x. x. | x. x. x. x.
LH snare:       .. X. .. X. | .. X. .. X.
RF bass-drum:   x. .. x. .. | x. .. x. ..
LF hi-hat-foot: x. .x .. x. | .. x. x. ..""",
    ),
    Entry(
        "foot-doubles",
        "foot independence",
        ("double strokes in the bass drum", "right foot"),
        76,
        """4/4 Two quick ones with the foot
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... X... .... X...
RF bass-drum: x..x x... ..xx ..x.""",
    ),
    Entry(
        "two-pedals-eighths",
        "foot independence",
        ("two pedals", "feet in turn"),
        84,
        """4/4 Two pedals in eighths
RH ride:      x. x. x. x.
LH snare:     .. X. .. X.
RF bass-drum: x. x. x. x.
LF bass-drum: .x .x .x .x""",
        "five_piece_two_pedals",
    ),
    Entry(
        "two-pedals-sixteenths",
        "foot independence",
        ("two pedals", "sixteenths in the bass drum"),
        92,
        """4/4 Two pedals in sixteenths
RH ride:      x... x... x... x...
LH snare:     .... X... .... X...
RF bass-drum: x.x. x.x. x.x. x.x.
LF bass-drum: .x.x .x.x .x.x .x.x""",
        "five_piece_two_pedals",
    ),
    Entry(
        "left-hand-hat",
        "weaker hand leads",
        ("left hand keeps time", "right hand free"),
        72,
        """4/4 Open-handed
LH hi-hat:    xx xx xx xx
RH snare:     .  X  .  X
RF bass-drum: x. .x x. ..""",
    ),
    Entry(
        "left-hand-leads",
        "weaker hand leads",
        ("left hand leads", "singles round two drums"),
        76,
        """4/4 Left hand first
LH snare:     X.x. x.x. X.x. x.x.
RH floor-tom: .... .x.x .... .x.x
RH snare:     .x.x .... .x.x ....
RF bass-drum: x... x... x... x...""",
    ),
    Entry(
        "left-hand-accents",
        "weaker hand leads",
        ("weaker hand leads", "accent control"),
        72,
        """4/4 The left hand has the accents
RH snare: .g.g .g.g .g.g .g.g
LH snare: X.g. X.g. X.X. g.X.""",
    ),
    Entry(
        "open-handed-toms",
        "weaker hand leads",
        ("weaker hand leads", "right hand free for the toms"),
        76,
        """4/4 Left on the hat, right on the toms
RH snare:     .. X. .. X.
RH high-tom:  .. .. .x ..
RH floor-tom: .. .. .. .x
LH hi-hat:    xx xx xx xx
RF bass-drum: x. .. x. ..""",
    ),
    Entry(
        "pad-paradiddle",
        "pad work",
        ("paradiddle", "accents on the beat"),
        80,
        """4/4 Paradiddle with accents
RH pad: X.xx .x.. X.xx .x..
LH pad: .x.. X.xx .x.. X.xx""",
        "pad",
    ),
    Entry(
        "pad-moving-accent",
        "pad work",
        ("accent control", "single strokes"),
        76,
        """4/4 The accent that wanders
RH pad: X.x. x.x. x.X. x.x.
LH pad: .x.x .X.x .x.x .x.X""",
        "pad",
    ),
    Entry(
        "pad-triplet-doubles",
        "pad work",
        ("double strokes in triplets", "weaker hand leads"),
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
        ("stick heights", "accent control"),
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
    Entry(
        "balance-ride-under-snare",
        "balance",
        ("balance", "soft right hand"),
        80,
        """4/4 A ride that whispers
RH ride:        ss ss ss ss
LH snare:       .. X. .g X.
RF bass-drum:   x. .. xx ..
LF hi-hat-foot: s. s. s. s.""",
    ),
    Entry(
        "threes-and-fours",
        "mixed subdivisions",
        ("triplets", "changing subdivision"),
        69,
        """4/4 Eighths, triplets, sixteenths
RH hi-hat:    xx xx x.x x.x. | xx xx xxx x.x.
LH snare:     .. X. ... X... | .. X. ... X.gg
RF bass-drum: x. .. x.x .... | x. .x x.. ....""",
    ),
    Entry(
        "flams-round-the-toms",
        "ornaments",
        ("flams", "toms"),
        66,
        """4/4 Flams round the toms
RH snare:     F. .. .. F.
RH high-tom:  .. .f .. ..
RH floor-tom: .. .. .f ..
LH snare:     .x .. x. ..
LH mid-tom:   .. x. .. .x
RF bass-drum: .. x. .. x.""",
    ),
    Entry(
        "drags-before-two-and-four",
        "ornaments",
        ("drags", "backbeat"),
        72,
        """4/4 Drags into the backbeat
RH hi-hat:    xx .x xx .x
LH snare:     .. D. .. D.
RF bass-drum: x. .x x. ..""",
    ),
)
