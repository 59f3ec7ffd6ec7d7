"""The keys of a section's rehearsal: one for each action, and what the screen says of them."""

from __future__ import annotations

from trainer.ui.keys import BY_KEY

SECTION_KEYS = {
    **{key: command for key, command in BY_KEY.items() if command in ("go", "pause", "help", "quit", "click", "again")},
    **{place: place for place in "123456789"},
    "o": "only",
    "w": "without",
    "e": "everybody",
    "n": "neighbour",
    "d": "drone",
    "f": "fall silent",
    "-": "slower",
    "+": "faster",
    "=": "faster",
    "<": "easier",
    ",": "easier",
    ">": "harder",
    ".": "harder",
    "b": "bars",
    "m": "remark",
    "t": "turns",
    "x": "pass",
    "v": "manner",
    "l": "latecomer",
    "k": "result",
    "s": "section",
    "i": "note",
}
"""The keys of a section's rehearsal."""

KEYS = {
    "waiting": "? keys   q quit   space begin   t one after another   k result   b bars",
    "sounding": "? keys   q quit   space stop   - slower   o only   w without   e everybody",
}
ALL_KEYS = (
    ("space", "begin; stop; after a result the drill it proposes"),
    ("o  w  e", "only your own line; without it; everybody"),
    ("n  d", "one neighbour louder after another; a drone"),
    ("f", "voices fall silent in the hard bars, and return"),
    ("-  +", "slower, faster"),
    ("<  >", "the place before or after; another desk first"),
    ("b", "which bars: 6-9, 6 (2nd), a rehearsal mark, B-D"),
    ("m", "your own note on a bar; kept"),
    ("t", "one after another"),
    ("1 to 9", "this desk sings next"),
    ("x", "rather not today: nothing is kept or told"),
    ("r", "the desk that sang last, once more"),
    ("v", "private, or aloud"),
    ("l", "one desk more"),
    ("k", "what it came to so far, by bar and cause"),
    ("s", "the section together again"),
    ("i  c", "your own first note; click on, counted, silent"),
    ("p", "pause, and go on"),
    ("q", "leave; what was sung is kept"),
)
