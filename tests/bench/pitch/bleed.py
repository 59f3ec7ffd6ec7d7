"""Our own loudspeaker in the microphone, measured: ``python tests/bench/pitch/bleed.py [--seeds report] [--registers ...] [--peers]``.

Each phrase of ``sung`` is a singer; the three other registers' phrases come out of a loudspeaker in a room of ``loudspeaker_room``, which
shares no code with the canceller. The room is learnt from the wave of soundcheck, played through the same loudspeaker and room. One table:
raw pitch accuracy within 50 and 10 cents, octave errors, voicing recall and false alarm (mir_eval.melody), note error, what of our sound
was taken away, and audio seconds a CPU second of the canceller alone, in blocks of 512 frames at 48 kHz. Peers hear the same microphone
without anything taken away.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2]), str(HERE.parents[1] / "support")]

import numpy as np  # noqa: E402
from loudspeaker_room import Setup, level_db, soft_noise  # noqa: E402
from marks import Line, marks, pooled  # noqa: E402
from ours import track  # noqa: E402
from peers import PEERS  # noqa: E402
from quick_steps import quick_steps  # noqa: E402
from scipy.signal import resample_poly  # noqa: E402
from sung import REGISTERS, sing  # noqa: E402
from voices import MODELS  # noqa: E402
from voices import RATE_HZ as SUNG_HZ  # noqa: E402

from audio.block import Block  # noqa: E402
from audio.canceller.learn import found_delay, found_drift, learnt  # noqa: E402
from audio.canceller.path import EchoPath  # noqa: E402
from audio.canceller.stage import Canceller  # noqa: E402
from audio.canceller.tracking import CancellingTracker  # noqa: E402
from audio.devices.swell import swell  # noqa: E402
from audio.heard import PitchFrame  # noqa: E402
from audio.pitch import DEFAULT_TRACKER, TRACKERS  # noqa: E402
from audio.units import RATE_HZ, c100_to_hz  # noqa: E402

SEEDS = {"develop": (1, 2), "report": (8101, 8102, 8103), "wide": tuple(range(8111, 8123))}
"""The report's own were written down before the canceller was tried on any of them; so were the wide ones, four times as many, since one
phrase more or less right is worth 0.3 points in a mean of twelve."""

ROOMS = ((0.25, 0.03), (0.35, 0.05), (0.5, 0.08))
"""Reverberation and delay in seconds, one after the other by seed."""

CONDITIONS = {
    "SIR 0": (0.0, {}),
    "SIR -5": (-5.0, {}),
    "SIR 0, moved -15 dB": (0.0, {"moved_db": -15.0}),
    "SIR -5, moved -15 dB": (-5.0, {"moved_db": -15.0}),
    "SIR 0, 100 ppm": (0.0, {"ppm": 100.0}),
    "SIR 0, bent 3 %": (0.0, {"bent": 0.03}),
}
PLAYED_DBFS, NOISE_DBFS = -24.0, -64.0
COLUMNS = ("RPA50", "RPA10", "oct", "VR", "VFA", "notes", "taken", "xRT")
PEERS_ASKED = ("librosa.yin", "praat ac")


def scene(register: str, seed: int, seconds: float, sir_db: float, more: dict):
    """Microphone and loudspeaker at RATE_HZ, the echo alone, the phrase, and the room as soundcheck learns it; voice models in turn."""
    names = sorted(MODELS)
    phrase = sing(register, seed, names[seed % len(names)], seconds)
    others = [
        _at_rate(sing(other, seed + 500, names[(seed + k) % len(names)], seconds).sound)
        for k, other in enumerate(REGISTERS)
        if other != register
    ]
    played = sum(one / np.std(one) for one in others)
    played *= 10 ** (PLAYED_DBFS / 20) / np.std(played)
    rt60_s, delay_s = ROOMS[seed % len(ROOMS)]
    still = Setup(
        RATE_HZ, seed=seed, rt60_s=rt60_s, delay_s=delay_s, **{k: v for k, v in more.items() if k != "moved_db"}
    )
    echo = (still.moved(more["moved_db"]) if "moved_db" in more else still).at_microphone(played)
    sung = _at_rate(phrase.sound)[: len(echo)]
    sung = sung * 10 ** ((level_db(echo) + sir_db - level_db(sung)) / 20)
    heard = echo + sung + soft_noise(len(echo), RATE_HZ, seed=seed, dbfs=NOISE_DBFS)
    return heard, played, echo, phrase, _soundcheck(still)


def _soundcheck(setup: Setup) -> EchoPath:
    wave = np.concatenate([swell(RATE_HZ).astype(float), np.zeros(RATE_HZ // 2)])
    heard = setup.at_microphone(wave) + soft_noise(len(wave), RATE_HZ, seed=setup.seed + 9, dbfs=NOISE_DBFS)
    delay = found_delay(wave, heard, RATE_HZ)
    if delay is None:
        raise RuntimeError("the wave was not heard")
    return learnt(wave, heard, delay, drift_ppm=found_drift(wave, heard, delay))


def _at_rate(sound):
    return resample_poly(sound, RATE_HZ // 300, SUNG_HZ // 300)


def ours(heard, played, path: EchoPath) -> Line:
    """What the tracker behind the canceller says."""
    tracker = CancellingTracker(Canceller(path=path), TRACKERS.load("audio.pitch")[DEFAULT_TRACKER])
    table, out = np.stack([heard, played], axis=1).astype(np.float32), []
    for begin in range(0, len(table), 4_096):
        out += tracker.feed(Block(table[begin : begin + 4_096].copy(), ("mic1", "played1"), begin, RATE_HZ))
    frames = [one for one in out + tracker.flush() if isinstance(one, PitchFrame)]
    hertz = np.array([c100_to_hz(f.f0_c100) * (1 if f.voiced else -1) for f in frames])
    seconds = np.array([f.centre_frame for f in frames]) / RATE_HZ
    return Line(seconds, hertz, np.full(len(seconds), np.nan), 0.0)


def peer(name: str, sound) -> Line:
    """What a peer says of the microphone."""
    seconds, hertz = PEERS[name].estimate(sound)
    return Line(seconds, hertz, np.full(len(seconds), np.nan), 0.0)


def taken_and_speed(heard, played, echo, path: EchoPath) -> tuple[float, float]:
    """How many dB of the echo are gone, and audio seconds a CPU second, resamplers and all, from 48 kHz in blocks of 512."""
    table = np.stack([resample_poly(heard, 2, 1), resample_poly(played, 2, 1)], axis=1).astype(np.float32)
    blocks = [
        Block(table[begin : begin + 512].copy(), ("mic1", "played1"), begin, 2 * RATE_HZ)
        for begin in range(0, len(table), 512)
    ]
    canceller = Canceller(path=path)
    began = time.process_time()
    out = [clean for block in blocks for clean in canceller.feed(block)]
    spent = time.process_time() - began
    left = np.concatenate([clean.samples[:, 0] for clean in out + canceller.flush()])[: len(heard)].astype(float)
    rest = echo[: len(left)] - (heard[: len(left)] - left)
    return level_db(echo[: len(left)]) - level_db(rest), len(heard) / RATE_HZ / max(spent, 1e-9)


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--seeds", choices=sorted(SEEDS), default="develop")
    options.add_argument("--seconds", type=float, default=8.0)
    options.add_argument("--registers", nargs="*", default=list(REGISTERS))
    options.add_argument("--conditions", nargs="*", default=list(CONDITIONS))
    options.add_argument(
        "--peers", action="store_true", help="the same microphone by our tracker alone, librosa and Praat"
    )
    options.add_argument(
        "--steps", choices=("compiled", "plain"), default="compiled", help="the same numbers, in other times"
    )
    asked = options.parse_args()
    if asked.steps == "compiled":
        print("compiled steps" if quick_steps() else "plain steps: the compiled ones do not load here")
    print(f"{'':36s}" + "".join(f"{column:>7s}" for column in COLUMNS))
    for condition in asked.conditions:
        sir_db, more = CONDITIONS[condition]
        rows: dict[str, list[dict]] = {}
        for seed in SEEDS[asked.seeds]:
            for register in asked.registers:
                heard, played, echo, phrase, path = scene(register, seed, asked.seconds, sir_db, more)
                said = marks(phrase, ours(heard, played, path))
                taken_db, speed = taken_and_speed(heard, played, echo, path)
                rows.setdefault("after soundcheck", []).append(said | {"taken": taken_db, "xRT": speed})
                if asked.peers:
                    at_44k = resample_poly(heard, SUNG_HZ // 300, RATE_HZ // 300)
                    rows.setdefault("no canceller", []).append(marks(phrase, track(DEFAULT_TRACKER, at_44k)[0]))
                    for name in PEERS_ASKED:
                        rows.setdefault(name, []).append(marks(phrase, peer(name, at_44k)))
        for name, said in rows.items():
            print(f"{condition:22s}{name:17s}" + _row(said), flush=True)


def _row(rows: list[dict]) -> str:
    means = pooled(rows)
    if "taken" in rows[0]:
        means["taken"] = float(np.mean([row["taken"] for row in rows]))
    else:
        del means["xRT"]
    return "".join(f"{means[c]:7.{2 if c in ('oct', 'notes') else 1}f}" if c in means else "      -" for c in COLUMNS)


if __name__ == "__main__":
    main()
