"""Core figures for one limb or one skill: odd meters, feet, weaker hand, balance."""

from __future__ import annotations

from exercises.rhythm.library_entry import Entry

LIMBS: tuple[Entry, ...] = (
    Entry(
        "five-quarters",
        "odd meters",
        ("odd meter", "backbeat"),
        92,
        """5/4 Five, three and two
RH hi-hat:    xx xx xx xx xx
LH snare:     .. X. .. X. ..
RF bass-drum: x. .x .. .. xx""",
    ),
    Entry(
        "seven-eighths",
        "odd meters",
        ("odd meter",),
        96,
        """7/8 Two, two and three
RH hi-hat:    xx xx xxx
LH snare:     .. X. X..
RF bass-drum: x. .. ..x""",
    ),
    Entry(
        "five-eighths",
        "odd meters",
        ("odd meter",),
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
        ("compound meter",),
        66,
        """9/8 Three threes
RH hi-hat:    xxx xxx xxx
LH snare:     ... ... X..
RF bass-drum: x.. ..x ...""",
    ),
    Entry(
        "seven-quarters",
        "odd meters",
        ("odd meter", "backbeat"),
        96,
        """7/4 Seven quarters
RH hi-hat:    xx xx xx xx xx xx xx
LH snare:     .. X. .. X. .. X. ..
RF bass-drum: x. .. x. .. xx .. .x""",
    ),
    Entry(
        "seven-eighths-sixteenths",
        "odd meters",
        ("odd meter", "ghost notes"),
        76,
        """7/8 Seven eighths, filled in
RH hi-hat:    x.x. x.x. x.x.x.
LH snare:     .... X..g .g..X.
RF bass-drum: x..x ..x. ..x...""",
    ),
    Entry(
        "feet-in-turn",
        "foot independence",
        ("foot independence", "hands together"),
        76,
        """4/4 Feet in turn
RH ride:      x  x  x  x
RF bass-drum: x. x. x. xx
LF:           .x .x .x ..""",
    ),
    Entry(
        "feet-three-over-two",
        "foot independence",
        ("cross-rhythm", "foot independence"),
        80,
        """6/8 Three in one foot, two in the other
RH ride-bell: x.. x..
RF bass-drum: x.x .x.
LF:           x.. x..""",
    ),
    Entry(
        "left-foot-three-two",
        "foot independence",
        ("hi-hat foot", "foot independence"),
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
        ("quick bass drum", "foot independence"),
        76,
        """4/4 Two quick ones with the foot
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... X... .... X...
RF bass-drum: x..x x... ..xx ..x.""",
    ),
    Entry(
        "two-pedals-eighths",
        "foot independence",
        ("two pedals", "foot independence"),
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
        ("two pedals", "quick bass drum"),
        92,
        """4/4 Two pedals in sixteenths
RH ride:      x... x... x... x...
LH snare:     .... X... .... X...
RF bass-drum: x.x. x.x. x.x. x.x.
LF bass-drum: .x.x .x.x .x.x .x.x""",
        "five_piece_two_pedals",
    ),
    Entry(
        "four-limbs-crossing",
        "foot independence",
        ("foot independence", "ghost notes", "accents"),
        66,
        """4/4 Hands that turn against the feet
RH ride:        X..x ..X. .x.. X..x
LH snare:       .g.X .g.. Xg.g .X.g
RF bass-drum:   x... ..x. .x.x ..x.
LF hi-hat-foot: .x.x .x.x .x.x .x.x""",
    ),
    Entry(
        "left-hand-hat",
        "weaker hand leads",
        ("weaker hand leads", "toms"),
        72,
        """4/4 Open-handed
LH hi-hat:    xx xx xx xx
RH snare:     .  X  .  X
RF bass-drum: x. .x x. ..""",
    ),
    Entry(
        "left-hand-leads",
        "weaker hand leads",
        ("weaker hand leads", "travel"),
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
        ("weaker hand leads", "accents"),
        72,
        """4/4 The left hand has the accents
RH snare: .g.g .g.g .g.g .g.g
LH snare: X.g. X.g. X.X. g.X.""",
    ),
    Entry(
        "open-handed-toms",
        "weaker hand leads",
        ("weaker hand leads", "toms"),
        76,
        """4/4 Left on the hat, right on the toms
RH snare:     .. X. .. X.
RH high-tom:  .. .. .x ..
RH floor-tom: .. .. .. .x
LH hi-hat:    xx xx xx xx
RF bass-drum: x. .. x. ..""",
    ),
    Entry(
        "balance-ride-under-snare",
        "balance",
        ("balance",),
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
