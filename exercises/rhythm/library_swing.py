"""Core figures that swing, sway or march: jazz, shuffle, bossa, samba, latin, compound meters."""

from __future__ import annotations

from exercises.rhythm.library_entry import Entry

SWING: tuple[Entry, ...] = (
    Entry(
        "jazz-time",
        "jazz",
        ("right hand ostinato", "hi-hat foot"),
        110,
        """4/4 Time on the ride
RH ride:   x.. x.x x.. x.x
LF:        .   x   .   x""",
    ),
    Entry(
        "jazz-comping",
        "jazz",
        ("left hand independence", "balance"),
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
        ("three in the bar", "foot independence"),
        120,
        """3/4 Waltz on the ride
RH ride:      x.. x.x x..
LH cross-stick: ... ..x ...
RF bass-drum: x.. ... ...
LF:           ... x.. ...""",
    ),
    Entry(
        "jazz-feathered-bass",
        "jazz",
        ("balance",),
        112,
        """4/4 Bass drum felt, not heard
RH ride:        x.. x.x x.. x.x
RF bass-drum:   gg.  g.. g.. g..
LF hi-hat-foot: .   x   .   x""",
    ),
    Entry(
        "jazz-triplets-between",
        "jazz",
        ("triplets", "left hand independence"),
        84,
        """4/4 Triplets below the ride
RH ride:        x.. x.x x.. x.x
LH snare:       .xx ... .x. ...
RF bass-drum:   ... .x. ..x ...
LF hi-hat-foot: ... x.. ... x..""",
    ),
    Entry(
        "jazz-five-four",
        "jazz",
        ("odd meter", "left hand independence"),
        104,
        """5/4 Ride in five
RH ride:        x.. x.x x.. x.. x.x
LH snare:       ... ..x ... ... ..x
RF bass-drum:   x.. ... ... x.. ...
LF hi-hat-foot: ... x.. ... ... x..""",
    ),
    Entry(
        "shuffle-first",
        "shuffle",
        ("triplets", "backbeat"),
        90,
        """4/4 First shuffle
RH hi-hat:    x.x x.x x.x x.x
LH snare:     .   X   .   X
RF bass-drum: x.. ... x.x ...""",
    ),
    Entry(
        "shuffle-both-hands",
        "shuffle",
        ("hands together", "accents"),
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
        ("ghost notes", "backbeat"),
        70,
        """4/4 Half-time shuffle
RH hi-hat:    x.x x.x x.x x.x
LH snare:     .g. .g. Xg. .g.
RF bass-drum: x.. ..x ... ..x""",
    ),
    Entry(
        "shuffle-ride-and-feet",
        "shuffle",
        ("triplets", "hi-hat foot"),
        92,
        """4/4 Shuffle for four limbs
RH ride:        x.x x.x x.x x.x
LH snare:       ... X.. ... X..
RF bass-drum:   x.. ..x x.. ..x
LF hi-hat-foot: ..x ..x ..x ..x""",
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
        ("compound meter", "balance"),
        54,
        """6/8 Rocking six
RH hi-hat:      sss sss
LH cross-stick: ... x..
RF bass-drum:   x.. ..s""",
    ),
    Entry(
        "six-eight-sixteenths",
        "ballad",
        ("compound meter", "sixteenths"),
        50,
        """6/8 Six eighths with sixteenths
RH hi-hat:    x.xxx. x.x.xx
LH snare:     ...... X....g
RF bass-drum: x....x ..x...""",
    ),
    Entry(
        "march-six-eight",
        "march",
        ("accents", "sextuplets"),
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
        ("foot ostinato", "left hand independence"),
        120,
        """4/4 Bossa over two bars
RH ride:        xx xx xx xx | xx xx xx xx
LH cross-stick: x. .x .. .x | .. x. .x ..
RF bass-drum:   x. .x x. .x | x. .x x. .x
LF:             .. x. .. x. | .. x. .. x.""",
    ),
    Entry(
        "bossa-cross-stick-one-bar",
        "bossa nova",
        ("cross-stick", "foot ostinato"),
        104,
        """4/4 One bar of bossa
RH hi-hat:       xx xx xx xx
LH cross-stick:  x. .x .. x.
RF bass-drum:    x. .x x. .x
LF hi-hat-foot:  .. x. .. x.""",
    ),
    Entry(
        "samba-two-four",
        "samba",
        ("foot ostinato", "right hand ostinato"),
        80,
        """2/4 Samba feet
RH ride:        x.xx x.xx
LH cross-stick: x..x ..x.
RF bass-drum:   x..x x..x
LF:             ..x. ..x.""",
    ),
    Entry(
        "samba-left-hand-partido",
        "samba",
        ("foot ostinato", "left hand independence"),
        88,
        """2/4 Left hand against the samba feet
RH ride:        x.xx x.xx
LH cross-stick: .x.x ..x.
RF bass-drum:   x..x x..x
LF hi-hat-foot: ..x. ..x.""",
    ),
    Entry(
        "samba-paradiddle",
        "samba",
        ("paradiddle", "foot ostinato", "accents"),
        84,
        """4/4 Paradiddle over samba feet
RH ride:        X.xx .x.. X.xx .x..
LH snare:       .x.. X.gg .x.. X.gg
RF bass-drum:   x..x x..x x..x x..x
LF hi-hat-foot: ..x. ..x. ..x. ..x.""",
    ),
    Entry(
        "three-three-two",
        "latin",
        ("bass drum off the beat", "right hand ostinato"),
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
        ("right hand ostinato", "cross-rhythm"),
        80,
        """12/8 A bell in twelve
RH ride-bell: x.x .xx .x. x.x
LH snare:     ... ..x ... ..x
RF bass-drum: x.. x.. x.. x..
LF:           ..x ..x ..x ..x""",
    ),
    Entry(
        "baiao-foot",
        "latin",
        ("bass drum off the beat", "open hi-hat"),
        92,
        """2/4 Bass drum at three of four
RH hi-hat:      x.x. x...
RH hi-hat-open: .... ..x.
LH snare:       .g.. .g.x
RF bass-drum:   x..x ..x.
LF hi-hat-foot: .... x...""",
    ),
    Entry(
        "son-bell-two-bars",
        "latin",
        ("right hand ostinato", "left hand independence"),
        88,
        """4/4 Bell over two bars
RH cowbell:   x.x. x.xx .x.x x.x. | x.x. xx.x .xx. x.x.
LH cross-stick: .... x... .... .... | .... x... .... ....
LH high-tom:  .... .... .... ..xx | .... .... .... ..xx
RF bass-drum: ...x ..x. ...x ..x. | ...x ..x. ...x ..x.""",
    ),
)
