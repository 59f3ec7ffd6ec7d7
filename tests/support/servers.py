"""Real sound and MIDI on a machine with no sound card: a private PulseAudio with null sinks, and JACK with its dummy driver.

Each server lives in a folder of its own and is gone at the end of the ``with``: first asked, then killed. Nothing of it is set
in our own process; ``env`` is what a child needs to reach it.
"""

from __future__ import annotations

import contextlib
import fcntl
import functools
import itertools
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pytest

ROOT = Path(__file__).resolve().parents[2]
START_SECONDS = 10.0

PULSE_SETUP = """\
load-module module-native-protocol-unix auth-anonymous=1 socket={run}/native
load-module module-null-sink sink_name=speaker norewinds=1 rate={rate} channels=2 format=s16le
load-module module-null-sink sink_name=singer norewinds=1 rate={rate} channels=1 format=s16le
load-module module-remap-source source_name=mic master=singer.monitor channels=1
set-default-sink speaker
set-default-source mic
"""

ALSA_SETUP = """\
</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.heldline_out { type pulse device "speaker" }
pcm.heldline_mic { type pulse device "mic" }
pcm.singer_out { type pulse device "singer" }
"""

HEADSET_SETUP = """
pcm.headset { type plug slave { pcm "heldline_mic" rate 8000 } }
"""


@dataclass
class Server:
    """A running server.

    Parameters
    ----------
    folder : Path
    env : dict
        What a child needs to reach it, the rest of our own surroundings included.
    log : Path
        What the server says.
    """

    folder: Path
    env: dict[str, str]
    log: Path
    process: subprocess.Popen[bytes]

    def run(self, *words: object, seconds: float = 20) -> str:
        """A command beside the server, its stdout; raises when it fails."""
        done = subprocess.run(
            [str(word) for word in words], env=self.env, capture_output=True, text=True, timeout=seconds, check=True
        )
        return done.stdout

    def python(self, code: str, *words: object, seconds: float = 60) -> subprocess.CompletedProcess[str]:
        """A program in a child Python that reaches the server and our packages, with a time limit."""
        return subprocess.run(
            [sys.executable, "-c", code, *(str(word) for word in words)],
            env=self.env,
            capture_output=True,
            text=True,
            timeout=seconds,
            check=False,
        )

    def begin(self, *words: object) -> subprocess.Popen[str]:
        """A program beside the server, its output as text."""
        return subprocess.Popen(
            [str(word) for word in words], env=self.env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )

    def kill(self) -> None:
        """Gone at once, without a word to its clients."""
        self.process.kill()
        self.process.wait(10)

    def stop(self) -> None:
        """Asked to go, then made to."""
        if self.process.poll() is None:
            self.process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.process.wait(1.5)
        if self.process.poll() is None:
            self.kill()


@contextlib.contextmanager
def pulse(*, rate_hz: int = 48_000) -> Iterator[Server]:
    """A private PulseAudio: sink "speaker" is heard by nobody, what is played into sink "singer" is in the microphone."""
    with _folder("pulse") as folder:
        run, home = folder / "run", folder / "home"
        for place in (run, folder / "state", home):
            place.mkdir(mode=0o700)
        (folder / "default.pa").write_text(PULSE_SETUP.format(run=run, rate=rate_hz))
        (folder / "asound.conf").write_text(ALSA_SETUP + HEADSET_SETUP)
        own = {**_plain(), "XDG_RUNTIME_DIR": str(run), "PULSE_RUNTIME_PATH": str(run)}
        own |= {"PULSE_STATE_PATH": str(folder / "state"), "HOME": str(home)}
        words = ["pulseaudio", "-n", "-F", str(folder / "default.pa"), "--daemonize=no", "--exit-idle-time=-1"]
        # a desktop gives its sound server real-time priority as well
        hurry = "yes" if _may_be_real_time() else "no"
        words += ["--use-pid-file=no", "--disallow-exit", f"--realtime={hurry}", f"--high-priority={hurry}"]
        words += ["--log-target=stderr"]
        env = {**_plain(), "PULSE_SERVER": f"unix:{run}/native", "ALSA_CONFIG_PATH": str(folder / "asound.conf")}
        env |= {"PULSE_COOKIE": str(folder / "cookie"), "JACK_NO_START_SERVER": "1"}
        with _server(words, own, env, folder) as server:
            _wait(server, "pactl", "info")
            yield server


JACK_NAMES = 6
"""jackd keeps a list of at most eight servers on a machine, and one that was killed stays in it until its name is used again."""


@contextlib.contextmanager
def jack(*, period_frames: int = 256, microphones: int = 1, rate_hz: int = 48_000) -> Iterator[Server]:
    """A private jackd with its dummy driver: "system" has *microphones* inputs and two outputs, all silent until connected."""
    with _jack_name() as name, _folder("jack") as folder:
        home = folder / "home"
        home.mkdir()
        (folder / "asound.conf").write_text("</usr/share/alsa/alsa.conf>\n")
        env = {**_plain(), "JACK_NO_AUDIO_RESERVATION": "1", "JACK_DEFAULT_SERVER": name, "JACK_NO_START_SERVER": "1"}
        env |= {"ALSA_CONFIG_PATH": str(folder / "asound.conf"), "PULSE_SERVER": f"unix:{folder}/no-pulse"}
        # without its usual real-time priority it misses its own beat on a busy machine: 0-1 against 10-39 xruns in 12 s at load 6
        scheduling = ["-R", "-P", "10"] if _may_be_real_time() else ["-r"]
        words = ["jackd", *scheduling, "--no-mlock", "-n", name, "-d", "dummy", "-r", str(rate_hz)]
        words += ["-p", str(period_frames), "-C", str(microphones), "-P", "2"]
        with _server(words, {**env, "HOME": str(home)}, env, folder) as server:
            _wait(server, "jack_lsp")
            yield server


@functools.cache
def _may_be_real_time() -> bool:
    """Whether this user may ask for real-time priority, tried on a process that does nothing."""
    if shutil.which("chrt") is None:
        return False
    return subprocess.run(["chrt", "-r", "10", "true"], capture_output=True, check=False).returncode == 0


@contextlib.contextmanager
def _jack_name() -> Iterator[str]:
    """A name that no other test run uses now; what a killed server left under it is swept away."""
    for number in itertools.cycle(range(JACK_NAMES)):
        name = f"heldline-test-{number}"
        with Path(tempfile.gettempdir(), f"{name}.lock").open("w") as lock:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                time.sleep(0.05)
                continue
            try:
                yield name
            finally:
                for left in Path("/dev/shm").glob(f"jack*{name}*"):  # noqa: S108 - where jackd puts them
                    left.unlink(missing_ok=True)
            return


@contextlib.contextmanager
def nothing_there() -> Iterator[Server]:
    """Surroundings with the libraries but no server and no card."""
    with _folder("nothing") as folder:
        (folder / "asound.conf").write_text("</usr/share/alsa/alsa.conf>\n")
        env = {**_plain(), "ALSA_CONFIG_PATH": str(folder / "asound.conf"), "PULSE_SERVER": f"unix:{folder}/no-pulse"}
        env |= {"JACK_DEFAULT_SERVER": f"heldline-none-{os.getpid()}", "JACK_NO_START_SERVER": "1"}
        with _server(["sleep", "600"], env, env, folder) as server:
            yield server


NAMES = (
    "PULSE_SERVER",
    "ALSA_CONFIG_PATH",
    "PULSE_COOKIE",
    "JACK_DEFAULT_SERVER",
    "JACK_NO_START_SERVER",
    "JACK_NO_AUDIO_RESERVATION",
)


def reach(server: Server, monkeypatch: pytest.MonkeyPatch) -> Server:
    """Let links opened in this process reach the server."""
    for name in NAMES:
        if name in server.env:
            monkeypatch.setenv(name, server.env[name])
        else:
            monkeypatch.delenv(name, raising=False)
    monkeypatch.delenv("MIDO_BACKEND", raising=False)
    return server


def missing_programs() -> list[str]:
    """The programs of the servers that this machine lacks."""
    return [name for name in ("pulseaudio", "pactl", "paplay", "jackd", "jack_lsp") if shutil.which(name) is None]


@contextlib.contextmanager
def _server(words: list[str], own: dict[str, str], env: dict[str, str], folder: Path) -> Iterator[Server]:
    log = folder / "log"
    # a test run that is killed takes its servers with it: one left behind keeps its name from all later runs
    bound = [] if shutil.which("setpriv") is None else ["setpriv", "--pdeathsig", "KILL"]
    with log.open("wb") as opened:
        process = subprocess.Popen([*bound, *words], env=own, stdin=subprocess.DEVNULL, stdout=opened, stderr=opened)
    server = Server(folder, env, log, process)
    try:
        yield server
    finally:
        server.stop()


def _wait(server: Server, *words: str) -> None:
    """Until the server answers; raises RuntimeError with what it said when it does not."""
    until = time.monotonic() + START_SECONDS
    while time.monotonic() < until and server.process.poll() is None:
        done = subprocess.run(words, env=server.env, capture_output=True, check=False, timeout=START_SECONDS)
        if done.returncode == 0:
            return
        time.sleep(0.02)
    raise RuntimeError(f"{words[0]} got no answer: {server.log.read_text(errors='replace')[-2000:]}")


@contextlib.contextmanager
def _folder(kind: str) -> Iterator[Path]:
    # short, because the path of a socket holds at most 107 characters
    place = Path(tempfile.mkdtemp(prefix=f"hl-{kind}-", dir="/tmp"))
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _plain() -> dict[str, str]:
    """Our surroundings without what would lead to another server."""
    ours = ("DBUS_SESSION_BUS_ADDRESS", "PULSE_SERVER", "PULSE_RUNTIME_PATH", "JACK_DEFAULT_SERVER", "ALSA_CONFIG_PATH")
    env = {name: value for name, value in os.environ.items() if name not in ours}
    return {**env, "PYTHONPATH": os.pathsep.join([str(ROOT), str(Path(__file__).parent)])}


def end(process: subprocess.Popen[str]) -> str:
    """End a program begun beside a server and give its output."""
    process.send_signal(signal.SIGTERM)
    try:
        return process.communicate(timeout=5)[0]
    except subprocess.TimeoutExpired:
        process.kill()
        return process.communicate()[0]


def leak_through_pulse(server: Server, *, latency_ms: int = 20) -> None:
    """The loudspeaker is heard in the microphone."""
    server.run(
        "pactl", "load-module", "module-loopback", "source=speaker.monitor", "sink=singer", f"latency_msec={latency_ms}"
    )


def second_microphone(server: Server) -> str:
    """A device "second_mic" that hears what is played into sink "singer2"; what ``pactl unload-module`` takes it away by."""
    server.run("pactl", "load-module", "module-null-sink", "sink_name=singer2", "norewinds=1", "channels=1")
    words = ("module-remap-source", "source_name=mic2", "master=singer2.monitor", "channels=1")
    with (server.folder / "asound.conf").open("a") as setup:
        setup.write('pcm.second_mic { type pulse device "mic2" }\n')
    return server.run("pactl", "load-module", *words).strip()


def ports(server: Server, part: str = "") -> list[str]:
    """Ports of JACK whose name holds *part*; none while a busy server does not answer, which whoever waits asks again."""
    try:
        told = server.run("jack_lsp")
    except subprocess.CalledProcessError:
        if server.process.poll() is not None:
            raise
        return []
    return [name for name in told.split("\n") if name and part in name]


def join(server: Server, source: str, target: str) -> None:
    """Connect two ports of JACK, and the target to nothing else."""
    for other in _joined_to(server, target):
        server.run("jack_disconnect", other, target)
    server.run("jack_connect", source, target)


def leak_through_jack(server: Server, client: str = "PortAudio") -> None:
    """A client's first output is its own first input."""
    join(server, f"{client}:out_0", f"{client}:in_0")


def _joined_to(server: Server, target: str) -> list[str]:
    """Ports connected to *target*, from ``jack_lsp -c``: a port's own line, then its connections indented."""
    found, here = [], False
    for line in server.run("jack_lsp", "-c").split("\n"):
        if not line.startswith(" "):
            here = line == target
        elif here:
            found.append(line.strip())
    return found


@contextlib.contextmanager
def sung_through_pulse(server: Server, recording: Path, *, sink: str = "singer") -> Iterator[subprocess.Popen[str]]:
    """A separate process plays *recording* into the microphone, once, from now on."""
    # its own buffer must outlast a busy machine; when it begins is of no matter here
    process = server.begin("paplay", f"--device={sink}", "--latency-msec=200", recording)
    try:
        yield process
    finally:
        end(process)


@contextlib.contextmanager
def sung_through_jack(
    server: Server, recording: Path, *, into: str = "PortAudio:in_0"
) -> Iterator[subprocess.Popen[str]]:
    """A separate process plays *recording* into a port of JACK, once, from now on."""
    process = server.begin(sys.executable, Path(__file__).with_name("jack_singer.py"), recording, into)
    try:
        line = (process.stdout.readline() if process.stdout else "").strip()
        if line != "singing":
            raise RuntimeError(f"the singer did not begin: {line} {end(process)}")
        yield process
    finally:
        end(process)
