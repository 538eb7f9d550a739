"""Core figures with a backbeat or a dance in them: rock, funk, linear, country, reggae, dance."""

from __future__ import annotations

from exercises.rhythm.library_entry import Entry

BACKBEATS: tuple[Entry, ...] = (
    Entry(
        "first-quarters",
        "first steps",
        ("right hand ostinato",),
        70,
        """4/4 Quarters with one hand
RH hi-hat: x x x x""",
    ),
    Entry(
        "hands-in-turn-quarters",
        "first steps",
        ("hand to hand", "single strokes"),
        70,
        """4/4 Hands in turn
RH snare: x . x .
LH snare: . x . x""",
    ),
    Entry(
        "hand-and-foot",
        "first steps",
        ("hands and feet in turn", "right hand ostinato"),
        72,
        """4/4 Foot on one and three
RH hi-hat:    x x x x
RF bass-drum: x . x .""",
    ),
    Entry(
        "rock-first-beat",
        "rock",
        ("backbeat", "right hand ostinato"),
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
        ("backbeat", "quick bass drum"),
        72,
        """4/4 Half-time with a late push
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... .... X... ....
RF bass-drum: x... ..x. ...x ..x.""",
    ),
    Entry(
        "rock-floor-tom-ride",
        "rock",
        ("travel",),
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
        ("two bars", "travel"),
        88,
        """4/4 Two bars with a crash
RH crash:     X. .. .. .. | .. .. .. ..
RH hi-hat:    .x xx xx xx | xx xx xx x.
LH snare:     .. X. .. X. | .. X. .. Xx
RF bass-drum: x. .. xx .. | x. .x .x ..""",
    ),
    Entry(
        "waltz-rock",
        "rock",
        ("three in the bar", "backbeat"),
        90,
        """3/4 Rock in three
RH hi-hat:    xx xx xx
LH snare:     .. .. X.
RF bass-drum: x. .x ..""",
    ),
    Entry(
        "rock-two-handed-sixteenths",
        "rock",
        ("hand to hand", "backbeat"),
        76,
        """4/4 Both hands on the hi-hat
RH hi-hat:    x.x. ..x. x.x. ..x.
RH snare:     .... X... .... X...
LH hi-hat:    .x.x .x.x .x.x .x.x
RF bass-drum: x... ..x. ..x. ....""",
    ),
    Entry(
        "rock-loose-hats",
        "rock",
        ("open hi-hat", "accents"),
        96,
        """4/4 Loose hi-hat, hard quarters
RH hi-hat-half-open: Xs Xs Xs Xs
LH snare:            .. X. .. X.
RF bass-drum:        x. .x xx .x""",
    ),
    Entry(
        "rock-toms-answer",
        "rock",
        ("travel", "toms"),
        88,
        """4/4 The toms answer the bass drum
RH floor-tom: x. .x x. ..
RH high-tom:  .. .. .. xx
LH snare:     .. X. .. X.
LH mid-tom:   .x .. .x ..
RF bass-drum: x. .. xx ..""",
    ),
    Entry(
        "funk-ghosts",
        "funk",
        ("ghost notes", "balance"),
        76,
        """4/4 Ghosts before the backbeat
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     ...g X... .g.. X..g
RF bass-drum: x... ..x. ..x. ....""",
    ),
    Entry(
        "funk-sixteenth-hat",
        "funk",
        ("hand to hand", "backbeat"),
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
        ("open hi-hat", "bass drum off the beat"),
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
        ("displacement", "sixteenths"),
        70,
        """4/4 The late backbeat
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... X..g .... ..X.
RF bass-drum: x.x. ..x. x... x...""",
    ),
    Entry(
        "funk-three-sixteenths-early",
        "funk",
        ("bass drum off the beat", "ghost notes"),
        80,
        """4/4 Three sixteenths early
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .g.. X..g .g.g X..g
RF bass-drum: x..x ..x. .x.. ..xx""",
    ),
    Entry(
        "funk-bell-and-hat",
        "funk",
        ("travel", "hi-hat foot"),
        84,
        """4/4 Bell on the beat, hat between
RH ride-bell:   X... X... X... X...
RH ride:        ..x. ..x. ..x. ..x.
LH snare:       .... X..g .... X...
RF bass-drum:   x.x. ...x ..x. ....
LF hi-hat-foot: ..x. ..x. ..x. ..x.""",
    ),
    Entry(
        "linear-sixes",
        "linear",
        ("linear", "hands and feet in turn"),
        66,
        """4/4 Sixes, one limb at a time
RH hi-hat:    x..x ..x. .x.. x...
LH snare:     .g.. g..g ..g. .X..
RF bass-drum: ..x. .x.. x..x ..xx""",
    ),
    Entry(
        "linear-triplets",
        "linear",
        ("linear", "triplets"),
        72,
        """4/4 Triplets, hand hand foot
RH high-tom:  x.. ... x.. ...
RH snare:     ... X.. ... X..
LH snare:     .x. .x. .x. .x.
RF bass-drum: ..x ..x ..x ..x""",
    ),
    Entry(
        "linear-eighths-first",
        "linear",
        ("linear",),
        72,
        """4/4 One limb at a time
RH hi-hat:    x. .x .. x.
LH snare:     .. x. .x ..
RF bass-drum: .x .. x. .x""",
    ),
    Entry(
        "linear-sixteenth-funk",
        "linear",
        ("linear", "ghost notes"),
        76,
        """4/4 Sixteenths, nobody together
RH hi-hat:    x..x ..x. x.x. .x..
LH snare:     .g.. X..g .g.. X..g
RF bass-drum: ..x. ...  ...x ..x.""",
    ),
    Entry(
        "train-beat",
        "country",
        ("accents", "balance"),
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
        ("hands and feet in turn", "balance"),
        104,
        """2/4 Boom and chick
RH hi-hat:    xx xx
LH snare:     .x .x
RF bass-drum: x. x.""",
    ),
    Entry(
        "train-moving-accents",
        "country",
        ("accents", "double strokes"),
        92,
        """4/4 Train with moving accents
RH snare:     X.g. g.X. g.g. X.g.
LH snare:     .g.g .g.g .X.g .g.g
RF bass-drum: x... x... x... x...""",
    ),
    Entry(
        "one-drop",
        "reggae",
        ("backbeat", "cross-stick"),
        72,
        """4/4 The empty one
RH hi-hat:      Xx xx Xx xx
LH cross-stick: .  .  x  .
RF bass-drum:   .  .  x  .""",
    ),
    Entry(
        "disco-open-offbeats",
        "dance",
        ("open hi-hat", "foot ostinato"),
        108,
        """4/4 Open on every offbeat
RH hi-hat:      x. x. x. x.
RH hi-hat-open: .x .x .x .x
LH snare:       .. X. .. X.
RF bass-drum:   x. x. x. x.""",
    ),
    Entry(
        "four-on-the-floor-offbeats",
        "dance",
        ("open hi-hat", "foot ostinato"),
        112,
        """4/4 Four on the floor, hat between
RH hi-hat-open:  .x .x .x .x
RH hi-hat:       x. x. x. x.
LH snare:        .. X. .. X.
RF bass-drum:    x. x. x. x.
LF hi-hat-foot:  x. x. x. x.""",
    ),
)
