"""Two who sing at once in one desk's recording: how often it is noticed, and how often of one singer alone.

    python tests/bench/crowd/two_at_once.py [--seeds N] [--first SEED]

Each take is eight notes of half a second to two seconds of a line made up for it, by singers with up to 70 cents of vibrato and scoops,
in no room and in rooms of RT60 0.8 and 2.5 s whose tails are 3 dB under the voice. *Beside played voices*: three steady voices leak in.
Printed: takes in which two voices were heard, notes that the judge left unjudged for it, and notes in all.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from fractions import Fraction
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import soundfile  # noqa: E402 - the path is made above
from rooms import in_room  # noqa: E402
from simulated_singer import Sound, Throat, sing  # noqa: E402
from slips import Performance, SungNote  # noqa: E402
from written_music import Piece, write_musicxml  # noqa: E402

from trainer.formats import read_path  # noqa: E402
from trainer.practice.settings import Settings  # noqa: E402
from trainer.takes.desks import desk_of  # noqa: E402

RATE_HZ = 24_000
NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
STEPS = (-2, -1, 1, 2, 3, -3, 4, -4, 5, -5, 7)
APART = (-7, -5, -4, -3, 3, 4, 5, 7, 9)
STARTS_S = 0.5
ROOMS = (None, 0.8, 2.5)


def main() -> int:
    """Always 0: the figures are for the reader."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=4, metavar="N", help="takes of each kind (4)")
    parser.add_argument("--first", type=int, default=0, metavar="SEED")
    args = parser.parse_args()
    seeds = range(args.first, args.first + args.seeds)
    for room in ROOMS:
        _row(f"one singer, room {room}", [_take(seed, room=room) for seed in seeds])
        for under_db in (0, 6):
            name = f"another line {under_db} dB under, room {room}"
            _row(name, [_take(seed, room=room, second="line", second_db=-under_db) for seed in seeds])
    for cents in (15, 30):
        _row(f"the same line {cents} cents off", [_take(seed, second="same", apart_cents=cents) for seed in seeds])
    for leak_db in (-30, -20, -10):
        _row(f"one singer, played voices at {leak_db} dB", [_take(seed, leak_db=leak_db) for seed in seeds])
        name = f"another line, not the score's, played voices at {leak_db} dB"
        _row(name, [_take(seed, second="line", leak_db=leak_db) for seed in seeds])
    return 0


def _row(name: str, takes: list[tuple[bool, int, int]]) -> None:
    flagged, lost, notes = (sum(one[k] for one in takes) for k in range(3))
    print(f"{name}: two voices in {flagged} of {len(takes)} takes, {lost} of {notes} notes not judged", flush=True)


def _take(
    seed: int,
    *,
    room: float | None = None,
    second: str = "",
    second_db: float = 0.0,
    apart_cents: float = 0.0,
    leak_db: float | None = None,
) -> tuple[bool, int, int]:
    rng = np.random.default_rng(seed)
    base = int(rng.choice([47, 52, 57, 62, 67]))
    lengths = [float(rng.choice([0.5, 1.0, 1.0, 2.0])) for _ in range(8)]
    written = _line(rng, base, lengths)
    seconds = STARTS_S + sum(lengths) + 1.0
    sound = _sung(written, rng, seed, seconds, low=base < 60)
    away = int(rng.choice(APART))
    if second == "line":
        sound += _sung(_line(rng, base + away, lengths), rng, seed + 5000, seconds, low=base < 60) * 10 ** (
            second_db / 20
        )
    elif second == "same":
        beside = tuple(
            SungNote(
                note.index,
                note.start_s + abs(float(rng.normal(0, 0.03))),
                note.end_s,
                note.midi + apart_cents / 100 * float(rng.choice([-1, 1])),
            )
            for note in written
        )
        sound += _sung(beside, rng, seed + 5000, seconds, low=base < 60)
    lines = {"singer": written}
    if leak_db is not None:
        steady = Throat(vibrato_cents=0, flutter_cents=0, legato=1.0)
        for k, off in enumerate((9, 4, -8)):
            lines[f"voice {k}"] = _line(rng, base + off, lengths)
            leak = sing(
                lines[f"voice {k}"],
                seed=seed + k + 50,
                seconds=seconds,
                throat=steady,
                rate_hz=RATE_HZ,
                level_dbfs=-24.0 + leak_db,
            )
            sound += leak.samples
    if room is not None:
        sound = in_room(sound, RATE_HZ, seed=seed, rt60_s=room, direct_to_reverb_db=3.0)
    piece = Piece("Two at once", tuple((name, _words(line)) for name, line in lines.items()))
    with tempfile.TemporaryDirectory() as folder:
        score = read_path(write_musicxml(piece, Path(folder) / "x.musicxml"))
        place = Path(folder) / "x.wav"
        soundfile.write(place, np.clip(sound, -1, 1), RATE_HZ)
        settings = Settings(starts_at_s=Fraction(STARTS_S), alone=leak_db is None)
        desk = desk_of(score, 0, "wren", place, settings=settings)
    spans = [gap[:2] for gap in desk.take.health.gaps if gap[2] == "two voices"]
    lost = [
        sum(max(0.0, min(end, note.end_s) - max(start, note.start_s)) for start, end in spans)
        > (note.end_s - note.start_s) / 4
        for note in written
    ]
    return bool(desk.two_voices), sum(lost), len(written)


def _line(rng: np.random.Generator, base: int, lengths: list[float]) -> Performance:
    found, midi, at = [], base, STARTS_S
    for k, length in enumerate(lengths):
        found.append(SungNote(k, at, at + length, float(midi), scoop_cents=float(rng.choice([0, 0, -80, 60]))))
        at += length
        step = int(rng.choice(STEPS))
        midi += step if abs(midi + step - base) <= 7 else -step
    return tuple(found)


def _sung(line: Performance, rng: np.random.Generator, seed: int, seconds: float, *, low: bool) -> Sound:
    throat = Throat(
        sex=str(rng.choice(["men", "women"])) if low else "women",
        vibrato_cents=float(rng.choice([0, 25, 50, 70])),
        vibrato_hz=float(rng.uniform(4.8, 6.5)),
        legato=float(rng.choice([0, 0.5, 1])),
        flutter_cents=float(rng.choice([4, 8])),
    )
    return sing(line, seed=seed, seconds=seconds, throat=throat, rate_hz=RATE_HZ, level_dbfs=-24.0).samples


def _words(line: Performance) -> str:
    return " ".join(
        f"{NAMES[int(note.midi) % 12]}{int(note.midi) // 12 - 1}:{Fraction(note.end_s - note.start_s)}" for note in line
    )


if __name__ == "__main__":
    sys.exit(main())
