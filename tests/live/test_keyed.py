"""A second process keys a line through JACK MIDI while heldline sounds the other voices and judges live."""

from __future__ import annotations

import subprocess
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
import servers
from live_stage import QPM, SCORE, TENOR, signs_of, table_of
from tmux_terminal import terminal

from trainer.library import resolve

COUNT_S = 4 * 60 / QPM
SCRIPTS = Path(__file__).parents[1] / "support"
KEYS = 12
KEY = ("key", SCORE, "--voice", "tenor", "--tempo", QPM, "--look-through", "0")


@contextmanager
def keyboard(stage, script, *words):
    process = stage.begin(SCRIPTS / script, *words, stdin=subprocess.PIPE)
    try:
        assert process.stdout.readline().strip() == "ready"
        yield process
    finally:
        process.kill()
        process.communicate()


def listening(stage, output: str = "PortAudio:out_0", ear: str = "organ:ear") -> None:
    """The keyboard hears heldline, which has only an output."""
    until = time.monotonic() + 40
    while not servers.ports(stage.server, output):
        assert time.monotonic() < until, servers.ports(stage.server)
        time.sleep(0.02)
    servers.join(stage.server, output, ear)


def written() -> list[tuple[float, float, int]]:
    second = 60 / QPM
    notes = resolve(SCORE).lines[TENOR].notes
    return [(float(n.onset_quarters) * second, float(n.end_quarters) * second, n.pitch.midi) for n in notes]


def words(line) -> list[str]:
    return [word for on, off, midi in line for word in (f"{on}:{midi}:64", f"{off - 0.03}:{midi}:0")]


@pytest.mark.parametrize("stage", ["jack"], indirect=True)
def test_a_wrong_a_late_and_a_missing_key_are_each_named_and_all_others_held(stage) -> None:
    line = written()
    line[2] = (*line[2][:2], line[2][2] + 1)
    line[5] = (line[5][0] + 0.3, *line[5][1:])
    del line[8]
    with keyboard(stage, "jack_organ.py", COUNT_S, *words(line)) as organ:
        process = stage.heldline(*KEY, "--json")
        listening(stage)
        organ.stdin.write("go\n")
        organ.stdin.flush()
        status, live, err = table_of(process)
    assert status == 0, err
    assert live["source"] == "keyed"
    told = [(n["bar"], n["signs"], n["onset_error_ms"]) for n in live["notes"]]
    print("onset errors, ms:", [n["onset_error_ms"] for n in live["notes"]])
    assert signs_of(live) == [
        "held", "held", "off", "held", "held", "late", "held", "held", "silent", "held", "held",
    ], told  # fmt: skip
    status, again, err = table_of(stage.heldline("review", "--json"))
    assert status == 0, err
    assert again["notes"] == live["notes"]


@pytest.mark.parametrize("stage", ["jack"], indirect=True)
def test_a_key_is_heard_within_twenty_milliseconds(stage) -> None:
    with keyboard(stage, "jack_keyboard.py", KEYS) as organ:
        quiet = ("--mute", "soprano,alto,bass", "--click", "silent", "--plain")
        process = stage.heldline(*KEY[:-1], "60", *quiet)
        try:
            listening(stage, "PortAudio-01:out_0", "PortAudio:in_0")
            time.sleep(7)  # chord and first note are over, nothing else sounds in the look-through
            organ.stdin.write("go\n")
            organ.stdin.flush()
            heard = sorted(float(word) for word in organ.stdout.readline().split())
        finally:
            process.terminate()
            stage.ended(process)
    print(
        f"{len(heard)} keys: median {heard[len(heard) // 2]:.1f} ms, worst {heard[-1]:.1f} ms from sending to hearing"
    )
    assert len(heard) == KEYS
    # the way of the message through JACK, one period or two, is in these figures as well
    assert heard[len(heard) // 2] <= 20


@pytest.mark.parametrize("stage", ["jack"], indirect=True)
def test_a_keyboard_pulled_out_in_the_take_keeps_what_was_played(stage) -> None:
    with keyboard(stage, "jack_organ.py", COUNT_S, *words(written()[:4])) as organ:
        process = stage.heldline(*KEY, "--plain")
        listening(stage)
        organ.stdin.write("go\n")
        organ.stdin.flush()
        assert organ.stdout.readline().strip() == "done"
        organ.kill()
        out, err = process.communicate(timeout=30)
    assert process.returncode == 0, err
    assert "unplugged" in out + err or "gone" in out + err
    assert "incomplete" in out or "Held: " in out
    assert "kept as take 1" in err


PERCUSSION = 9
SYNTH = """
import rtmidi, sys
port = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name="reed")
port.open_virtual_port("pipes")
port.set_callback(lambda event, _: print(*event[0], flush=True))
print("ready", flush=True)
sys.stdin.read()
"""


@pytest.mark.parametrize("stage", ["jack"], indirect=True)
def test_a_synth_on_jack_sounds_the_other_voices_and_is_left_silent(stage) -> None:
    reed = stage.begin("-c", SYNTH, stdin=subprocess.PIPE)
    assert reed.stdout.readline().strip() == "ready"
    with keyboard(stage, "jack_organ.py", COUNT_S, "0:54:0"):
        process = stage.heldline(*KEY, "--bars", "1-2", "--synth", "reed", "--plain")
        out, err = process.communicate(timeout=60)
    assert process.returncode == 5, out + err  # no key was pressed
    messages = [tuple(map(int, line.split())) for line in reed.communicate()[0].split("\n") if line]
    voices = {line: [note.pitch.midi for note in resolve(SCORE).lines[line].notes[:2]] for line in (0, 1, 3)}
    sounded: dict[tuple[int, int], int] = {}
    for status, midi, velocity in (
        message for message in messages if message[0] & 0xE0 == 0x80 and message[0] & 0x0F != PERCUSSION
    ):
        down = status & 0xF0 == 0x90 and velocity > 0
        sounded[status & 0x0F, midi] = sounded.get((status & 0x0F, midi), 0) + (1 if down else -1)
    assert {midi for notes in voices.values() for midi in notes} <= {midi for _, midi in sounded}, messages
    assert set(sounded.values()) == {0}, messages
    assert {message[:2] for message in messages if message[0] & 0xF0 == 0xB0} >= {(0xB0 | line, 123) for line in voices}


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_the_number_row_is_taken_as_degrees(stage, tmp_path: Path) -> None:
    env = {**stage.server.env, "HELDLINE_HOME": str(stage.home)}
    with terminal(tmp_path, env) as window:
        window.run(*KEY[:4], "--degrees", "--tempo", "120", "--bars", "1-2", "--look-through", "0")
        for bar, degree in ((1, "5"), (2, "7")):
            window.shows(f"playing bar {bar}", 30)
            window.type(degree)
        window.shows("done", 30)
        window.type("q")
        assert window.status() == 0
    status, live, err = table_of(stage.heldline("review", "--json"))
    assert status == 0, err
    assert [note["sung"] for note in live["notes"]] == ["F#3", "A3"], live["notes"]
    assert set(signs_of(live)) <= {"held", "late"}
