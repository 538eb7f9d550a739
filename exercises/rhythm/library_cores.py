"""The core figures of the library, in the typed form (see :mod:`exercises.rhythm.typed`).

Composed for this library from the common stock of each style; none is taken from a book or a song.
Each entry: slug, style, what it trains, a tempo to start at, the kit it is for, the figure.
"""

from __future__ import annotations

from typing import NamedTuple


class Entry(NamedTuple):
    """One core figure as it is written down here; ``kit`` is a key of ``KITS``."""

    slug: str
    style: str
    trains: tuple[str, ...]
    bpm: int
    typed: str
    kit: str = "five_piece"


ENTRIES: tuple[Entry, ...] = (
    Entry(
        "rock-first-beat",
        "rock",
        ("backbeat", "right-hand ostinato"),
        80,
        """4/4 First rock beat
RH hi-hat:    xx xx xx xx
LH snare:     .  X  .  X
RF bass-drum: x  .  xx .""",
    ),
    Entry(
        "rock-pushed-bass",
        "rock",
        ("bass drum off the beat", "backbeat"),
        84,
        """4/4 Pushed bass drum
RH hi-hat:    xx xx xx xx
LH snare:     .. X. .. X.
RF bass-drum: x. .x .x ..""",
    ),
    Entry(
        "rock-half-time",
        "rock",
        ("half-time backbeat", "sixteenths in the bass drum"),
        72,
        """4/4 Half-time with a late push
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... .... X... ....
RF bass-drum: x... ..x. ...x ..x.""",
    ),
    Entry(
        "rock-floor-tom-ride",
        "rock",
        ("travel", "right hand on the floor tom"),
        92,
        """4/4 Riding on the floor tom
RH floor-tom: Xx xx Xx xx
LH snare:     .  X  .  X
RF bass-drum: x  .  xx .
LF:           x  x  x  x""",
    ),
    Entry(
        "rock-quarters-crash",
        "rock",
        ("two bars", "crash on one"),
        88,
        """4/4 Two bars with a crash
RH crash:     X. .. .. .. | .. .. .. ..
RH hi-hat:    .x xx xx xx | xx xx xx x.
LH snare:     .. X. .. X. | .. X. .. Xx
RF bass-drum: x. .. xx .. | x. .x .x ..""",
    ),
    Entry(
        "funk-ghosts",
        "funk",
        ("ghost notes", "balance between the limbs"),
        76,
        """4/4 Ghosts before the backbeat
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     ...g X... .g.. X..g
RF bass-drum: x... ..x. ..x. ....""",
    ),
    Entry(
        "funk-sixteenth-hat",
        "funk",
        ("sixteenths from hand to hand", "backbeat in the leading hand"),
        72,
        """4/4 Sixteenths from hand to hand
RH hi-hat: x.x. ..x. x.x. ..x.
RH snare:  .... X... .... X...
LH hi-hat: .x.x .x.x .x.x .x.x
RF:        x..x .... ..x. ....""",
    ),
    Entry(
        "funk-open-hat",
        "funk",
        ("opening the hi-hat", "bass drum off the beat"),
        80,
        """4/4 Breathing hi-hat
RH hi-hat:      x.x. x.x. x.x. x...
RH hi-hat-open: .... .... .... ..x.
LH snare:       .... X... .... X...
RF bass-drum:   x..x ..x. .x.. ..x.""",
    ),
    Entry(
        "funk-displaced-backbeat",
        "funk",
        ("displacement", "reading sixteenths"),
        70,
        """4/4 The late backbeat
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... X..g .... ..X.
RF bass-drum: x.x. ..x. x... x...""",
    ),
    Entry(
        "linear-sixes",
        "linear",
        ("one limb at a time", "hands and foot in turn"),
        66,
        """4/4 Sixes, one limb at a time
RH hi-hat:    x..x ..x. .x.. x...
LH snare:     .g.. g..g ..g. .X..
RF bass-drum: ..x. .x.. x..x ..xx""",
    ),
    Entry(
        "linear-triplets",
        "linear",
        ("one limb at a time", "triplets"),
        72,
        """4/4 Triplets, hand hand foot
RH high-tom:  x.. ... x.. ...
RH snare:     ... X.. ... X..
LH snare:     .x. .x. .x. .x.
RF bass-drum: ..x ..x ..x ..x""",
    ),
    Entry(
        "jazz-time",
        "jazz",
        ("jazz time", "hi-hat foot on two and four"),
        110,
        """4/4 Time on the ride
RH ride:   x.. x.x x.. x.x
LF:        .   x   .   x""",
    ),
    Entry(
        "jazz-comping",
        "jazz",
        ("left-hand independence", "feathered bass drum"),
        100,
        """4/4 One answer in the left hand
RH ride:      x.. x.x x.. x.x
LH snare:     ..s ... ... .s.
RF bass-drum: s.. s.. s.. s..
LF:           ... x.. ... x..""",
    ),
    Entry(
        "jazz-waltz",
        "jazz",
        ("three in the bar", "hi-hat foot off the one"),
        120,
        """3/4 Waltz on the ride
RH ride:      x.. x.x x..
LH cross-stick: ... ..x ...
RF bass-drum: x.. ... ...
LF:           ... x.. ...""",
    ),
    Entry(
        "shuffle-first",
        "shuffle",
        ("triplet feel", "backbeat"),
        90,
        """4/4 First shuffle
RH hi-hat:    x.x x.x x.x x.x
LH snare:     .   X   .   X
RF bass-drum: x.. ... x.x ...""",
    ),
    Entry(
        "shuffle-both-hands",
        "shuffle",
        ("both hands together", "accents against ghosts"),
        84,
        """4/4 Shuffle in both hands
RH ride:      x.x x.x x.x x.x
LH snare:     g.g X.g g.g X.g
RF bass-drum: x   x   x   x
LF:           .   x   .   x""",
    ),
    Entry(
        "shuffle-half-time",
        "shuffle",
        ("triplet ghosts", "half-time backbeat"),
        70,
        """4/4 Half-time shuffle
RH hi-hat:    x.x x.x x.x x.x
LH snare:     .g. .g. Xg. .g.
RF bass-drum: x.. ..x ... ..x""",
    ),
    Entry(
        "blues-twelve-eight",
        "blues",
        ("compound meter", "backbeat"),
        60,
        """12/8 Slow twelve
RH hi-hat:    xxx xxx xxx xxx
LH snare:     ... X.. ... X..
RF bass-drum: x.. ... x.x ...""",
    ),
    Entry(
        "ballad-six-eight",
        "ballad",
        ("compound meter", "soft touch"),
        54,
        """6/8 Rocking six
RH hi-hat:      sss sss
LH cross-stick: ... x..
RF bass-drum:   x.. ..s""",
    ),
    Entry(
        "march-six-eight",
        "march",
        ("accents", "rolling sixes"),
        100,
        """6/8 Street march in six
RH snare:     X.x x.x
LH snare:     .x. .x.
RF bass-drum: x.. x..
LF:           x.. x..""",
    ),
    Entry(
        "bossa-two-bars",
        "bossa nova",
        ("feet ostinato", "two-bar phrase in the left hand"),
        120,
        """4/4 Bossa over two bars
RH ride:        xx xx xx xx | xx xx xx xx
LH cross-stick: x. .x .. .x | .. x. .x ..
RF bass-drum:   x. .x x. .x | x. .x x. .x
LF:             .. x. .. x. | .. x. .. x.""",
    ),
    Entry(
        "samba-two-four",
        "samba",
        ("feet ostinato", "sixteenths in the right hand"),
        80,
        """2/4 Samba feet
RH ride:        x.xx x.xx
LH cross-stick: x..x ..x.
RF bass-drum:   x..x x..x
LF:             ..x. ..x.""",
    ),
    Entry(
        "three-three-two",
        "latin",
        ("bass drum across the beat", "bell in quarters"),
        96,
        """4/4 Three, three and two
RH ride-bell: x  x  x  x
LH snare:     .. .g X. .g
RF bass-drum: x. .x .. x.
LF:           x  x  x  x""",
    ),
    Entry(
        "twelve-bell",
        "latin",
        ("bell pattern", "cross-rhythm against the feet"),
        80,
        """12/8 A bell in twelve
RH ride-bell: x.x .xx .x. x.x
LH snare:     ... ..x ... ..x
RF bass-drum: x.. x.. x.. x..
LF:           ..x ..x ..x ..x""",
    ),
    Entry(
        "train-beat",
        "country",
        ("accents from hand to hand", "soft sixteenths"),
        88,
        """4/4 Train
RH snare:     s.X. s.X. s.X. s.X.
LH snare:     .s.s .s.s .s.s .s.x
RF bass-drum: x... x... x... x...
LF:           ..x. ..x. ..x. ..x.""",
    ),
    Entry(
        "two-beat-polka",
        "country",
        ("hands and feet in turn", "light touch"),
        104,
        """2/4 Boom and chick
RH hi-hat:    xx xx
LH snare:     .x .x
RF bass-drum: x. x.""",
    ),
    Entry(
        "one-drop",
        "reggae",
        ("beat one left empty", "cross-stick with the bass drum"),
        72,
        """4/4 The empty one
RH hi-hat:      Xx xx Xx xx
LH cross-stick: .  .  x  .
RF bass-drum:   .  .  x  .""",
    ),
    Entry(
        "disco-open-offbeats",
        "dance",
        ("opening the hi-hat", "bass drum in quarters"),
        108,
        """4/4 Open on every offbeat
RH hi-hat:      x. x. x. x.
RH hi-hat-open: .x .x .x .x
LH snare:       .. X. .. X.
RF bass-drum:   x. x. x. x.""",
    ),
    Entry(
        "waltz-rock",
        "rock",
        ("three in the bar", "backbeat on three"),
        90,
        """3/4 Rock in three
RH hi-hat:    xx xx xx
LH snare:     .. .. X.
RF bass-drum: x. .x ..""",
    ),
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
)
