"""What is missing, what breaks and what vanishes: one clear error, never a hang. Each in a child process with a time limit."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
import servers

from audio.devices import SoundWish, found, open_keys, open_sound, open_synth
from audio.errors import DeviceError, NoDeviceError

WATCH = """
import os, sys, time
from audio.devices import open_sound
with open_sound() as link:
    print("open", flush=True)
    sys.stdin.readline()
    began = time.perf_counter()
    while link.alive and time.perf_counter() - began < 10:
        link.read()
        time.sleep(0.01)
    print("noticed", round(time.perf_counter() - began, 3), link.trouble, flush=True)
print("closed", round(time.perf_counter() - began, 3), flush=True)
"""


def _watched(server: servers.Server, harm) -> list[str]:  # type: ignore[no-untyped-def]
    """Lines of a program that watches a link while *harm* is done; it must end by itself within 20 s."""
    import subprocess
    import sys

    with subprocess.Popen(
        [sys.executable, "-c", WATCH],
        env=server.env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        assert process.stdout.readline() == "open\n"
        harm(process.pid)
        process.stdin.write("\n")
        process.stdin.flush()
        try:
            rest = process.communicate(timeout=20)[0]
        except subprocess.TimeoutExpired:
            process.kill()
            raise
        assert process.returncode == 0, rest
    return rest.splitlines()


def test_a_pulse_server_killed_in_mid_stream_is_noticed_within_a_second(pulse: servers.Server) -> None:
    noticed, closed = _watched(pulse, lambda _: pulse.kill())
    assert noticed.startswith("noticed")
    assert float(noticed.split()[1]) < 1.3, noticed  # a second, and a busy machine's breath
    assert float(closed.split()[1]) < 4, closed


def test_a_jack_server_killed_in_mid_stream_is_noticed_within_a_second(jack: servers.Server) -> None:
    noticed, closed = _watched(jack, lambda _: jack.kill())
    assert float(noticed.split()[1]) < 1.3, noticed
    assert float(closed.split()[1]) < 4, closed


def test_a_child_that_crashes_is_noticed_at_once(jack: servers.Server) -> None:
    def crash(parent: int) -> None:
        import signal

        import psutil

        (child,) = psutil.Process(parent).children()
        os.kill(child.pid, signal.SIGSEGV)

    noticed, _ = _watched(jack, crash)
    assert float(noticed.split()[1]) < 0.5, noticed
    assert "has ended" in noticed


def test_no_server_and_no_card_is_one_sentence(bare: servers.Server) -> None:
    began = time.monotonic()
    with pytest.raises(DeviceError, match="no microphone here") as caught:
        open_sound()
    assert caught.value.exit_status == 3
    assert isinstance(caught.value, NoDeviceError)  # to which each command adds what can be done without
    assert caught.value.do == "plug one in, or start the sound server"
    with pytest.raises(DeviceError, match="no sound output here"):
        open_sound(SoundWish(channels_in=0))
    assert time.monotonic() - began < 15


def test_looking_around_where_nothing_is_names_all_of_it(
    bare: servers.Server, capfd: pytest.CaptureFixture[str]
) -> None:
    here = found()
    assert (here.inputs, here.outputs, here.keys, here.synths) == ((), (), (), ())
    assert any("microphone" in sentence for sentence in here.missing)
    assert any("keyboard" in sentence for sentence in here.missing)
    assert len(here.missing) == len(here.missing_next)
    assert capfd.readouterr().err == ""  # ALSA and JACK chatter from C


def test_no_keyboard_and_no_synth_is_one_sentence_each(bare: servers.Server, capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(DeviceError, match="no MIDI keyboard here") as caught:
        open_keys()
    assert caught.value.exit_status == 3
    with pytest.raises(DeviceError, match="no MIDI synth here"):
        open_synth()
    assert capfd.readouterr().err == ""


def _broken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: str, body: str) -> None:
    """Put a module that fails in the way of the real one, in children."""
    (tmp_path / f"{module}.py").write_text(body)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))


@pytest.mark.parametrize(
    ("body", "says", "do"),
    [
        ("raise OSError('PortAudio library not found')", "PortAudio is not installed", "libportaudio2"),
        ("raise ImportError('No module named sounddevice')", "sounddevice is not installed", "pip install sounddevice"),
    ],
)
def test_a_missing_sound_library_is_named_with_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bare: servers.Server, body: str, says: str, do: str
) -> None:
    _broken(tmp_path, monkeypatch, "sounddevice", body)
    with pytest.raises(DeviceError, match=says) as caught:
        open_sound()
    assert do in caught.value.do
    here = found()
    assert says in here.missing[0]
    assert do in here.missing_next[0]
    assert not any("no microphone" in sentence for sentence in here.missing)


def test_a_missing_midi_library_is_named_with_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bare: servers.Server
) -> None:
    _broken(tmp_path, monkeypatch, "rtmidi", "raise ImportError('No module named rtmidi')")
    with pytest.raises(DeviceError, match="python-rtmidi is not installed") as caught:
        open_keys()
    assert "pip install python-rtmidi" in caught.value.do
    assert any("python-rtmidi" in sentence for sentence in found().missing)


def test_a_child_that_dies_while_it_opens_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bare: servers.Server
) -> None:
    _broken(tmp_path, monkeypatch, "sounddevice", "import os; os._exit(9)")
    with pytest.raises(DeviceError, match="process ended before it began"):
        open_sound()
    assert "process ended" in found().missing[0]


def test_a_driver_that_never_answers_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bare: servers.Server
) -> None:
    from audio.devices import finding, sound

    monkeypatch.setattr(sound, "OPEN_SECONDS", 1.0)
    monkeypatch.setattr(finding, "LOOK_SECONDS", 1.0)
    _broken(tmp_path, monkeypatch, "sounddevice", "import time; time.sleep(60)")
    began = time.monotonic()
    with pytest.raises(DeviceError, match="no answer within 1 s"):
        open_sound()
    assert "no answer" in found().missing[0]
    assert time.monotonic() - began < 6
