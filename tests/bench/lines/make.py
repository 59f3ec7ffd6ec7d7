"""Makes the stored lines of ``tests/golden/ours/lines`` anew.

    .venv/bin/python tests/bench/lines/make.py [--verdicts]

``--verdicts`` keeps what was heard and writes only what the judge makes of it today: to be run when a verdict was changed on purpose, and
its difference read before it is kept.
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

FIRST_SEED = 600_000
PLANTED = 12
FREE = (0, 3)
KEYED = 3
SEED = 7


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--verdicts", action="store_true")
    args = parser.parse_args()
    from stored_lines import FOLDER, read_line

    if args.verdicts:
        for path in sorted(FOLDER.glob("*.line")):
            read_line(path).write()
        return 0
    for path in FOLDER.glob("*"):
        path.unlink()
    for number in range(PLANTED):
        sung(number)
    for number in range(KEYED):
        keyed(number)
    paused()
    return 0


def sung(number: int) -> None:
    """A planted take of the campaigns through the tracker, judged by four settings and, some of them, in its own time."""
    from planted_sound import as_recorded, heard_beside_a_loudspeaker, sung_sound
    from planted_takes import BLEED, STARTS_AT_S, plan_take
    from stored_lines import StoredLine, under
    from written_music import write_musicxml

    from trainer.formats import read_path
    from trainer.practice.settings import Settings
    from trainer.takes.recording import heard_in

    planted = plan_take(FIRST_SEED + number)
    settings = Settings(tempo_qpm=Fraction(f"{planted.qpm:g}"), starts_at_s=Fraction(STARTS_AT_S))
    sound, _ = sung_sound(planted)
    with tempfile.TemporaryDirectory() as folder:
        score = read_path(write_musicxml(planted.piece, Path(folder) / "piece.musicxml"))
        line = score.voice_names().index(planted.voice)
        if planted.condition == BLEED:
            heard = tuple(heard_beside_a_loudspeaker(planted, score, line, settings, sound))
        else:
            recorded, rate_hz = as_recorded(planted, sound)
            import soundfile

            soundfile.write(Path(folder) / "take.wav", np.clip(recorded, -1, 1), rate_hz)
            heard = tuple(heard_in(Path(folder) / "take.wav"))
    others = [
        under(settings, against="pure", tolerance_cents=15),
        under(settings, octave="strict", delay_known=False),
        under(settings, alone=True, octave="free", a4_hz=435.0),
    ]
    if number in FREE:
        others.append(under(settings, time="free"))
    StoredLine(f"sung-{number:02}", score, line, "sung", settings, heard, others=tuple(others)).write()


def keyed(number: int) -> None:
    """Keys pressed not quite in time, some wrong, some missing, some held over the next."""
    from stored_lines import StoredLine, under

    from audio.heard import KeyNote
    from audio.units import RATE_HZ
    from trainer.library import exercises, resolve
    from trainer.practice.settings import Settings

    chance = np.random.default_rng(SEED + number)
    score = resolve(exercises()[5 + 40 * number].title)
    line = number % len(score.lines)
    settings = Settings(tempo_qpm=Fraction(120), starts_at_s=Fraction(1))
    keys = []
    for note in score.lines[line].notes:
        if chance.random() < 0.1:
            continue
        begin = 1 + float(note.onset_quarters) / 2 + float(chance.normal(0, 0.04))
        end = 1 + float(note.end_quarters) / 2 + float(chance.normal(0, 0.08))
        midi = note.pitch.midi + int(chance.choice([0, 0, 0, 0, 0, 1, -2, 12]))
        on, off = round(max(begin, 0.0) * RATE_HZ), round(max(end, begin + 0.05) * RATE_HZ)
        keys.append(KeyNote(0, on, off, midi, 80))
    heard = tuple(sorted(keys, key=lambda key: key.off_frame))
    others = (under(settings, octave="strict"), under(settings, octave="free"), under(settings, delay_known=False))
    StoredLine(f"keyed-{number:02}", score, line, "keyed", settings, heard, others=others).write()


def paused() -> None:
    """A live take that waited in its middle, lost some sound, and of which the timing was in doubt from a moment on."""
    from heard_frames import as_written, frames
    from stored_lines import StoredLine, under

    from audio.heard import UNTIMED, Anchor, Gap
    from audio.units import RATE_HZ
    from trainer.library import resolve
    from trainer.live.hearing import PAUSED
    from trainer.practice.settings import Settings

    score, line = resolve("Ferry Bell at Low Water"), 2
    chance = np.random.default_rng(SEED)
    stretches = as_written(score, line, qpm=120, shift_s=1.0)
    stretches = [
        type(one)(
            one.start_s + float(chance.normal(0, 0.05)),
            one.end_s,
            one.midi + float(chance.normal(0, 0.25)),
            35.0,
            -250,
            900,
            -120.0,
        )
        for one in stretches
    ]
    waits_s, half = 3, Fraction(24)
    at = 1 + half / 2
    moved = [
        one if one.start_s < at else type(one)(one.start_s + waits_s, one.end_s + waits_s, *_rest(one))
        for one in stretches
    ]
    begin, end = int(at * RATE_HZ), int((at + waits_s) * RATE_HZ)
    heard = [record for record in frames(moved, 30.0) if not begin <= record.centre_frame < end]
    anchors = (
        Anchor(RATE_HZ, Fraction(0), Fraction(120)),
        Anchor(begin, half, Fraction(0)),
        Anchor(end, half, Fraction(120)),
    )
    cut = next(k for k, record in enumerate(heard) if record.centre_frame >= begin)
    late = next(k for k, record in enumerate(heard) if record.centre_frame >= end + 4 * RATE_HZ)
    doubt = Gap(heard[late].centre_frame, heard[late].centre_frame + 3600 * RATE_HZ, UNTIMED)
    lost = Gap(heard[200].centre_frame, heard[240].centre_frame, "lost")
    records = (
        *heard[:200],
        lost,
        *heard[240:cut],
        anchors[1],
        Gap(begin, end, PAUSED),
        anchors[2],
        *heard[cut:late],
        doubt,
        *heard[late:],
    )
    settings = Settings(tempo_qpm=Fraction(120), starts_at_s=Fraction(1))
    others = (under(settings, tolerance_cents=35), under(settings, alone=True))
    StoredLine("waited", score, line, "sung", settings, records, anchors[:1], others).write()


def _rest(one: object) -> tuple[float, float, int, int, float]:
    """What of a stretch is not its time."""
    return (one.midi, one.vibrato_cents, one.level_db10, one.confidence, one.entry_cents)  # type: ignore[attr-defined]


if __name__ == "__main__":
    sys.exit(main())
