"""The README's rehearsal, run for real on a private PulseAudio: a chapel with a refrigerator, a leader's keys, seven altos.

    .venv/bin/python tests/bench/sectional/story.py

Prints what each command printed. Everybody is invented, and simulated; five of the seven go with the soprano in bar 5.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import numpy as np  # noqa: E402
import servers  # noqa: E402
import simulated_singer  # noqa: E402
import slips  # noqa: E402
import soundfile  # noqa: E402
from live_stage import RATE_HZ, Stage  # noqa: E402
from section_stage import led, section_of_singers  # noqa: E402

from trainer.library import resolve  # noqa: E402

TITLE, ALTO, BARS, QPM = "Rope over the Sluice", 1, (3, 6), 96
FOLLOWERS, PULLED_NOTES = (1, 2, 3, 5, 6), (4, 5)
SECTIONAL = ("sectional", TITLE, "--voice", "alto")


def chapel(path: Path, seconds: float) -> Path:
    """A refrigerator: 100 Hz and what goes with it, and the noise of its motor."""
    at = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    hum = sum(np.sin(2 * np.pi * 100 * k * at) / k**2 for k in (1, 2, 3)) * 0.0012
    noise = np.random.default_rng(8).standard_normal(len(at)) * 0.0004
    soundfile.write(path, (hum + noise).astype(np.float32), RATE_HZ, subtype="FLOAT")
    return path


def hummed(path: Path) -> Path:
    """The leader hums a note for a while."""
    sung = (slips.SungNote(0, 0.1, 9.0, 57.0),)
    sound = simulated_singer.sing(sung, seed=3, seconds=9.5, throat=simulated_singer.Throat("women")).samples
    soundfile.write(path, sound.astype(np.float32), RATE_HZ, subtype="FLOAT")
    return path


def main() -> None:
    """Everything, in the order of the evening."""
    with tempfile.TemporaryDirectory() as name, servers.pulse() as server:
        folder = Path(name)
        stage = Stage(server, "pulse", folder / "home")
        singers = section_of_singers(
            folder, resolve(TITLE), ALTO, BARS, QPM, count=7, followers=FOLLOWERS, pulled=PULLED_NOTES
        )
        room = server.begin("paplay", "--device=singer", chapel(folder / "chapel.wav", 600))
        servers.leak_through_pulse(server)  # the loudspeaker is heard in the room
        # in a home of its own: how late this script's singers come is not theirs, so timing is not judged
        told(
            "heldline soundcheck --room",
            checked(Stage(server, "pulse", folder / "another home"), hummed(folder / "hum.wav")),
        )
        loopback = server.run("pactl", "list", "short", "modules")
        number = next(line.split()[0] for line in loopback.split("\n") if "module-loopback" in line)
        server.run("pactl", "unload-module", number)  # headphones for the desks
        told(" ".join(SECTIONAL) + " --list", stage.heldline(*SECTIONAL, "--list").communicate()[0])
        began = time.monotonic()
        lines = rehearsed(stage, singers)
        told(f"the rehearsal, {time.monotonic() - began:.0f} s", "\n".join(lines))
        told("a week later", "\n".join(taken_up(stage)))
        servers.end(room)


def checked(stage: Stage, hum: Path) -> str:
    """The sound check, with somebody humming when it asks."""
    process = stage.heldline("soundcheck", "--room")
    assert process.stderr is not None
    for line in process.stderr:
        if "hum any note" in line:
            singer = stage.server.begin("paplay", "--device=singer", hum)
            out = process.communicate(timeout=60)[0]
            servers.end(singer)
            return out
    return process.communicate()[0]


def rehearsed(stage: Stage, singers: list[Path]) -> list[str]:
    """A round together, seven desks, the result, its drill, and out."""
    leader = led(stage, *SECTIONAL[1:], "--desks", 7)
    leader.until("Now: bar")
    leader.type("")
    leader.sings(*singers[:4])
    leader.until("Sing", 90)
    leader.type("t")
    leader.until("Now: next")
    leader.type("b", f"{BARS[0]}-{BARS[1]}")
    leader.until("Bars 3-6")
    for singer in singers:
        leader.type("")
        leader.sings(singer)
        leader.until("Now: ", 90)
    leader.until("space: ")
    leader.type("")
    leader.until("Sing", 90)
    leader.type("q")
    return leader.left()[1]


def taken_up(stage: Stage) -> list[str]:
    """What the same command says when it is given again."""
    leader = led(stage, *SECTIONAL[1:])
    leader.until("Place 1")
    leader.type("q")
    return leader.left()[1]


def told(what: str, printed: str) -> None:
    """One step of the story."""
    print(f"$ {what}\n{printed.rstrip()}\n", flush=True)


if __name__ == "__main__":
    main()
