"""Keys for notes: which was meant for which, and their words at both sides of every limit."""

from __future__ import annotations

from audio.heard import OPEN_KEY, KeyNote
from nets import Chance, Net
from trainer.judge.keyed import Wanted, key_signs, matched
from trainer.judge.runningkeys import closed, with_key

MS = 24
FROM = 240_000


def a_key(chance: Chance) -> object:
    """One key against its note."""
    length, on_time = chance.of(24_000, 12_000, 96_000), chance.of(960, 3_000)
    beat, last = chance.of(24_000, 48_000, 28_801), chance.happens(50)
    forgiven = 0 if last else max(beat // 2, 600 * MS)
    want = Wanted(FROM, FROM + length, 60, beat, on_time, last)
    begin = FROM + chance.of(0, chance.beside(on_time, -on_time))
    end = FROM + length - chance.of(0, chance.beside(length // 5, 150 * MS, forgiven))
    key = KeyNote(0, begin, end, 60 + chance.of(0, 0, 0, 12, -12, 1, 24, 7))
    free, timed = chance.happens(30), not chance.happens(20)
    return key_signs(want, key, chance.of(0, 0, 1), free_octave=free, timed=timed)


def a_line_of_keys(chance: Chance) -> object:
    """A few notes and keys that are late, wrong, missing or too many."""
    length = chance.of(24_000, 12_000, 4_800)
    wanted = [
        Wanted(FROM + k * length, FROM + (k + 1) * length, 60 + 2 * k, 24_000, 960, False)
        for k in range(chance.whole(1, 5))
    ]
    keys = []
    for want in wanted:
        if chance.happens(15):
            continue
        begin = want.from_frame + chance.of(
            0, 0, 2_400, -2_400, chance.beside(length, 6_000, 240), chance.whole(-9_000, 9_000)
        )
        keys.append(KeyNote(0, begin, begin + length, want.midi + chance.of(0, 0, 0, 1, 12, -12, 2, -2)))
        if chance.happens(20):
            keys.append(KeyNote(0, begin + 2_000, begin + 4_000, want.midi + chance.of(0, 1, 2)))
    keys.sort(key=lambda key: key.on_frame)
    return matched(wanted, keys, chance.of(0, 0, 0, 1, -1))


def keys_told_twice(chance: Chance) -> object:
    """Keys that go down and are told again when they are let go, and those that never are."""
    keys: list[KeyNote] = []
    for k in range(chance.whole(1, 5)):
        begin, midi = 1_000 * chance.of(k, k - 1, 0), chance.of(60, 60, 62)
        with_key(
            keys, KeyNote(0, begin, chance.of(OPEN_KEY, OPEN_KEY, OPEN_KEY + 1, OPEN_KEY - 1, begin + 500), midi, k)
        )
    return keys, closed(keys, chance.of(0, 1_000, 1_001, 5_000))


NETS = (
    Net("a key", ("keyed",), a_key, 800),
    Net("keys", ("keyed",), a_line_of_keys, 800),
    Net("keys told twice", ("runningkeys",), keys_told_twice, 200),
)
