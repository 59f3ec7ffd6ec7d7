"""How soon things are heard and seen in a live take, from outside: a terminal of our own, an ear, a singer, a keyboard.

* go: from the command, and from the space key in the look-through, to the first sound on the speaker
* first note: from ``heldline sing`` to the moment at which a singer who hums and waits as told begins the first note
* mark: from the end of each beat at the ear to its sign on the screen; what could not be known sooner is the 150 ms that the judge waits
* core: the share of one core of the program and its sound process in such a take
* key: from pressing to hearing, and to the name on the screen, on JACK at 256 frames

``python tests/bench/live/run.py``; exit status 1 when a limit is missed; ``--short`` presses fewer keys, sings fewer bars, and fails only
where a figure is four times its limit, since the machine may have been busy.
"""

from __future__ import annotations

import argparse
import contextlib
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import psutil

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[3]), str(HERE.parents[2] / "support")]

import servers  # noqa: E402
from live_stage import SCORE, Stage, first_minute_of_a_singer, line_sung, recorded  # noqa: E402
from pty_screen import PtyScreen  # noqa: E402

from trainer.judge.running import AFTER_BEAT_MS  # noqa: E402

SUPPORT = HERE.parents[2] / "support"
LINE = ("sing", SCORE, "--voice", "tenor")
QPM = 96
LIMITS = {"go": 3_000.0, "first note": 60_000.0, "mark": 250.0, "core": 25.0, "heard": 20.0, "shown": 100.0}
BUSY = 4.0  # of a limit: no machine that can run a take at all is so busy


@contextlib.contextmanager
def staged(kind: str) -> Iterator[Stage]:
    """A server and an empty home."""
    with getattr(servers, kind)() as server, tempfile.TemporaryDirectory() as folder:
        if kind == "pulse":
            conf = Path(server.env["ALSA_CONFIG_PATH"])
            conf.write_text(conf.read_text() + 'pcm.singer_ear { type pulse device "speaker.monitor" }\n')
        yield Stage(server, kind, Path(folder) / "home")


def screen(stage: Stage, *words: object) -> PtyScreen:
    """heldline at a terminal."""
    return PtyScreen(words, {**stage.server.env, "HELDLINE_HOME": str(stage.home)})


@contextlib.contextmanager
def helper(stage: Stage, *words: object) -> Iterator[subprocess.Popen[str]]:
    """One of the scripts of tests/support, once it is ready."""
    process = stage.begin(SUPPORT / str(words[0]), *words[1:], stdin=subprocess.PIPE)
    try:
        assert process.stdout is not None
        line = process.stdout.readline().strip()
        if line != "ready":
            raise RuntimeError(line + str(process.communicate()[1]))
        yield process
    finally:
        process.kill()
        process.communicate()


def go(kind: str) -> tuple[float, float]:
    """ms to the first sound: from the command with nothing to read before, and from the space key."""
    with staged(kind) as stage:
        with helper(stage, "listening_ear.py", *(["singer_ear"] if kind == "pulse" else ["system"])) as ear:
            assert ear.stdout is not None
            with screen(stage, *LINE, "--look-through", 0) as first:
                _hears(stage, first)
                from_command = (int(ear.stdout.readline()) - first.began_ns) / 1e6
        with helper(stage, "listening_ear.py", *(["singer_ear"] if kind == "pulse" else ["system"])) as ear:
            assert ear.stdout is not None
            with screen(stage, *LINE, "--look-through", 60) as second:
                _hears(stage, second)
                second.shows("look-through")
                time.sleep(1.0)  # the tuning note is over and the ear has had its quarter of a second of silence
                said_ns = second.type(" ")
                while (ns := int(ear.stdout.readline())) < said_ns:
                    pass
                return from_command, (ns - said_ns) / 1e6


def _hears(stage: Stage, seen: PtyScreen) -> None:
    """On JACK an ear has to be joined to what it hears: the later client's output to the earlier's input."""
    if stage.kind == "jack":
        seen.wait(lambda: bool(servers.ports(stage.server, "PortAudio-01:out_0")), "port of heldline")
        servers.join(stage.server, "PortAudio-01:out_0", "PortAudio:in_0")


def first_note() -> float:
    """ms from the first start of all to the first sung note."""
    with staged("pulse") as stage, tempfile.TemporaryDirectory() as folder, screen(stage, "sing") as seen:
        hum, sung = first_minute_of_a_singer(Path(folder))
        seen.shows("Hum this")
        time.sleep(2.3)  # a person answers when the note is over
        singers = [stage.server.begin("paplay", "--device=singer", hum)]
        began_ns = seen.shows("singing bar 1")
        singers.append(stage.server.begin("paplay", "--device=singer", "--latency-msec=20", sung))
        seen.shows("4 of 4", 30)
        for singer in singers:
            servers.end(singer)
        return (began_ns - seen.began_ns) / 1e6


def marks(bars: int) -> tuple[list[float], float]:
    """ms from each beat's end at the ear to its sign on the screen, and the share of one core in %."""
    beat_s = 60 / QPM
    with (
        staged("jack") as stage,
        tempfile.TemporaryDirectory() as folder,
        stage.singer(recorded(Path(folder), line_sung(QPM)), 4 * beat_s) as singer,
        screen(stage, *LINE, "--tempo", QPM, "--look-through", 0, "--bars", f"1-{bars}") as seen,
    ):
        assert singer.stdin is not None
        assert singer.stdout is not None
        stage.joined("PortAudio", "PortAudio-01")
        singer.stdin.write("sing\n")
        singer.stdin.flush()
        seen.shows("count-in")
        processes = [psutil.Process(seen.process.pid)]
        # not the child that compiles, which the first take after an update has
        processes += [child for child in processes[0].children() if "audio.devices" in " ".join(child.cmdline())]
        used, since = _used(processes), time.monotonic()
        clicked_ns = int(singer.stdout.readline().split()[1])
        seen.wait(lambda: seen.first_ns(lambda text: _signs(text) >= 4 * bars - 1) is not None, "last sign")
        core = 100 * (_used(processes) - used) / (time.monotonic() - since)
    music_ns = clicked_ns + 4 * beat_s * 1e9
    found = []
    for number in range(1, 4 * bars):
        shown_ns = seen.first_ns(lambda text, number=number: _signs(text) >= number)
        if shown_ns is not None:
            found.append((shown_ns - music_ns) / 1e6 - 1000 * number * beat_s)
    return found, core


def _used(processes: list[psutil.Process]) -> float:
    return sum(sum(process.cpu_times()[:2]) for process in processes)


def _signs(text: str) -> int:
    """How many signs of beats stand on a screen that shows them all."""
    return sum(len("".join(line.split()[1:])) for line in text.split("\n") if line.startswith("beats"))


def keys(count: int) -> tuple[list[float], list[float]]:
    """ms from pressing each key to hearing it, and to its name on the screen."""
    with staged("jack") as stage, helper(stage, "jack_keyboard.py", count) as organ:
        assert organ.stdin is not None
        assert organ.stdout is not None
        quiet = ("--mute", "soprano,alto,bass", "--click", "silent", "--tempo", 60)
        with screen(stage, "key", *LINE[1:], *quiet, "--look-through", 0) as seen:
            _hears(stage, seen)
            seen.shows("playing bar 1")
            organ.stdin.write("go\n")
            organ.stdin.flush()
            heard = [float(word) for word in organ.stdout.readline().split()]
            pressed = [int(word) for word in organ.stdout.readline().split()]
            time.sleep(0.3)
            changes = list(seen.changes)
    shown = []
    for ns in pressed:
        later = next((at for at, rows in changes if at > ns and _down(rows)), None)
        shown.append((later - ns) / 1e6 if later is not None else float("inf"))
    return heard, shown


def _down(rows: dict[int, str]) -> bool:
    return any(line.startswith("keys") and len(line.split()) > 1 for line in rows.values())


def main() -> int:
    """Measure everything; 1 when a limit is missed, in a short run by far."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--short", action="store_true")
    args = parser.parse_args()
    rows: list[tuple[str, float, str]] = []
    for kind in ("jack", "pulse"):
        command, space = go(kind)
        rows.append(
            ("go", space, f"first sound on {kind}: {space:.0f} ms after space, {command:.0f} after the command")
        )
    first = first_note()
    rows.append(("first note", first, f"first sung note {first / 1000:.1f} s after the first start"))
    late, core = marks(4 if args.short else 11)
    known = [ms - AFTER_BEAT_MS for ms in late]
    rows.append(("mark", max(known), f"{len(late)} marks: median {median(late):.0f}, worst {max(late):.0f} ms after the beat's end; "
                 f"{median(known):.0f} and {max(known):.0f} after it could be known"))  # fmt: skip
    rows.append(("core", core, f"a take with its sound process: {core:.1f} % of one core"))
    heard, shown = keys(8 if args.short else 30)
    rows.append(
        ("heard", median(heard), f"{len(heard)} keys heard: median {median(heard):.1f}, worst {max(heard):.1f} ms")
    )
    rows.append(
        ("shown", max(shown), f"{len(shown)} keys shown: median {median(shown):.0f}, worst {max(shown):.0f} ms")
    )
    missed = [name for name, value, _ in rows if value > LIMITS[name]]
    for _, _, told in rows:
        print(told)
    print(f"missed: {', '.join(missed)}" if missed else "all within their limits")
    far = [name for name, value, _ in rows if value > BUSY * LIMITS[name]]
    return 1 if (far if args.short else missed) else 0


if __name__ == "__main__":
    sys.exit(main())
