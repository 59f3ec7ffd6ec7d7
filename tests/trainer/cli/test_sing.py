"""sing and key from file to verdict, on stdout and in the store."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
from pathlib import Path

import mido
import numpy as np
import pytest
from heldline_command import heldline, heldline_child

from audio.block import Block
from trainer.demo.takes import PretendTake
from trainer.places import places

ROOT = Path(__file__).resolve().parents[3]


def test_a_recording_is_judged_into_one_json_object(score: Path, good: Path) -> None:
    done = heldline("sing", score, "--voice", "soprano", "--input", good, "--json")
    assert done.status == 0, done.err
    assert done.err == ""
    assert done.out.count("\n") == 1
    assert [note["sign"] for note in done.table["notes"]] == ["held", "held"]
    assert done.table["voice_number"] == 1


def test_people_get_the_same_counts_as_programs(score: Path, good: Path) -> None:
    words = ("sing", score, "--voice", "1", "--input", good, "--starts-at", "0.5")
    table = heldline(*words, "--json").table
    done = heldline(*words)
    assert f"{table['result']['held']} of {table['result']['judged']} note" in done.out
    assert "kept as take 2" in done.err


def test_the_same_recording_gives_the_same_bytes_in_another_process(score: Path, good: Path) -> None:
    words = ("sing", score, "--voice", "soprano", "--input", good, "--json")
    assert heldline_child(*words).out == heldline(*words).out


def test_nothing_heard_is_five_and_says_so(score: Path, silence: Path) -> None:
    done = heldline("sing", score, "--voice", "soprano", "--input", silence, "--json")
    assert done.status == 5
    assert done.table["status"] == "nothing heard"
    assert done.table["result"]["held"] == 0
    told = heldline("sing", score, "--voice", "soprano", "--input", silence)
    assert told.status == 5
    assert "heldline trace" in told.out


def test_a_recording_that_ends_before_bar_1_is_said_to(score: Path, good: Path) -> None:
    done = heldline("sing", score, "--voice", "soprano", "--input", good, "--starts-at", "400", "--json")
    assert done.status == 5
    assert "The sound ends before the line begins: none of it could be judged." in done.table["remarks"]


@pytest.mark.parametrize("command", [("sing", "--input", "x.wav"), ("key", "--input", "x.mid")])
def test_a_voice_without_a_note_is_refused_and_nobody_is_sent_to_the_microphone(
    command: tuple[str, ...], tmp_path: Path
) -> None:
    score = tmp_path / "rests.drill"
    score.write_text("title: Rests\nmeter: 4/4\n\nsoprano | . | . |\nbass | D3 | E3 |\n")
    done = heldline(*command, score, "--voice", "soprano")
    assert done.status == 2
    assert "the soprano has no notes to sing" in done.err


def test_two_recordings_are_judged_side_by_side(score: Path, good: Path, silence: Path) -> None:
    done = heldline("sing", score, "--lines", f"soprano={good},bass={silence}", "--json")
    assert done.status == 0
    assert done.table["schema"] == "heldline.group/1"
    assert [(one["voice"], one["status"]) for one in done.table["takes"]] == [
        ("soprano", "heard"),
        ("bass", "nothing heard"),
    ]
    assert heldline("review", "--json").out == done.out


def test_options_reach_the_judge(score: Path, good: Path) -> None:
    done = heldline(
        "sing", score, "--voice", "soprano", "--input", good, "--json", "--tolerance", "fine", "--a", "415", "--alone",
        "--octave", "strict", "--against", "pure", "--tempo", "120.5", "--starts-at", "-0.25",
    )  # fmt: skip
    told = done.table["settings"]
    assert told["tolerance_cents"] == 15
    assert told["a4_hz"] == 415.0
    assert told["alone"] is True
    assert told["octave"] == "strict"
    assert told["against"] == "pure"
    assert told["tempo_qpm"] == 120.5
    assert told["starts_at_s"] == -0.25


def test_no_log_keeps_nothing(score: Path, good: Path, own_home: Path) -> None:
    assert heldline("sing", score, "--voice", "soprano", "--input", good, "--no-log").status == 0
    assert not own_home.exists()


def test_sound_is_kept_only_when_asked_for(score: Path, good: Path) -> None:
    words = ("sing", score, "--voice", "soprano", "--input", good)
    heldline(*words)
    assert not places().sound.exists()
    heldline(*words, "--keep-sound")
    assert [path.read_bytes() for path in places().sound.iterdir()] == [good.read_bytes()]


def test_a_recording_that_is_none_leaves_no_take(score: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.wav"
    bad.write_bytes(b"RIFF\0\0\0\0WAVEnothing")
    done = heldline("sing", score, "--voice", "soprano", "--input", bad)
    assert done.status == 4
    assert done.out == ""
    assert heldline("takes", "--json").table["takes"] == []


def test_keys_are_judged_without_cents(score: Path, tmp_path: Path) -> None:
    midi = mido.MidiFile()
    midi.tracks.append(
        mido.MidiTrack(
            [
                mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(240)),
                mido.Message("note_on", note=69),
                mido.Message("note_off", note=69, time=4 * 480),
                mido.Message("note_on", note=72),
                mido.Message("note_off", note=72, time=4 * 480),
            ]
        )
    )
    path = tmp_path / "take.mid"
    midi.save(path)
    done = heldline("key", score, "--voice", "soprano", "--input", path, "--json")
    assert done.status == 0, done.err
    assert done.table["source"] == "keyed"
    assert [note["sign"] for note in done.table["notes"]] == ["held", "off"]
    assert {note["cents"] for note in done.table["notes"]} == {None}
    assert heldline("review", "--json").out == done.out


def test_no_key_pressed_is_five(score: Path, tmp_path: Path) -> None:
    midi = mido.MidiFile()
    midi.tracks.append(mido.MidiTrack())
    midi.save(tmp_path / "empty.mid")
    done = heldline("key", score, "--voice", "bass", "--input", tmp_path / "empty.mid")
    assert done.status == 5
    assert "no key was pressed" in done.out


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "latin-1", "utf-8"])
@pytest.mark.parametrize("form", [[], ["--plain"], ["--color", "always"]])
def test_any_terminals_letters_carry_the_report(score: Path, good: Path, encoding: str, form: list[str]) -> None:
    done = heldline_child("sing", score, "--voice", "bass", "--input", good, *form, env={"PYTHONIOENCODING": encoding})
    assert done.status == 0, done.err
    assert "Measured" in done.out
    assert "Traceback" not in done.err


def test_a_closed_pipe_ends_in_silence_with_the_shells_own_status(score: Path, good: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "trainer", "trace", str(good), "--csv"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as child:
        assert child.stdout is not None
        assert child.stderr is not None
        child.stdout.read(5)
        child.stdout.close()
        assert child.stderr.read() == b""
        assert child.wait(60) == 141


def test_trace_gives_one_row_a_hop_and_the_pitch(good: Path) -> None:
    done = heldline("trace", good, "--csv")
    head, *rows = done.out.splitlines()
    assert head == "time_s,f0_hz,voiced,confidence,level_dbfs"
    times = [float(row.split(",")[0]) for row in rows]
    steps = {round((after - before) * 24_000) for before, after in itertools.pairwise(times)}
    assert len(steps) == 1
    assert 120 <= steps.pop() <= 240
    middle = min(rows, key=lambda row: abs(float(row.split(",")[0]) - 0.5)).split(",")
    assert abs(float(middle[1]) - 440) < 1
    assert middle[2] == "1"


def test_trace_says_the_same_in_json_and_in_words(good: Path, silence: Path) -> None:
    frames = heldline("trace", good, "--json").table["frames"]
    assert len(frames) == len(heldline("trace", good, "--csv").out.splitlines()) - 1
    words = heldline("trace", good).out
    assert "A4" in words
    assert "B4" in words
    quiet = heldline("trace", silence)
    assert (quiet.status, quiet.out) == (5, "nothing heard\n")


def test_trace_looks_only_where_it_is_told(good: Path) -> None:
    done = heldline("trace", good, "--json", "--lowest", "60", "--highest", "300")
    assert all(frame["f0_hz"] < 310 for frame in done.table["frames"])
    assert heldline("trace", good, "--voice", "soprano").status == 0


def test_hear_writes_a_file_and_says_where_bar_one_falls(score: Path, tmp_path: Path) -> None:
    out = tmp_path / "bass.wav"
    done = heldline("hear", score, "--only", "bass", "-o", out, "--json", "--count-in", "1")
    assert done.status == 0, done.err
    assert done.table["voices"] == ["bass"]
    assert done.table["starts_at_s"] == pytest.approx(1.0)
    assert out.exists()


def test_demo_lists_its_singers() -> None:
    listed = heldline("demo", "--list", "--json").table["takes"]
    assert len(listed) >= 6
    assert all(one["name"] in heldline("demo", "--list").out for one in listed)


def test_a_demo_in_which_nothing_is_heard_is_done_all_the_same(monkeypatch: pytest.MonkeyPatch, own_home: Path) -> None:
    quiet = Block(np.zeros((12_000, 1), np.float32), ("mic1",), 0, 24_000)
    monkeypatch.setattr(PretendTake, "blocks", lambda *_: iter([quiet]))
    done = heldline("demo", "--json")
    assert done.status == 0
    assert done.table["status"] == "nothing heard"
    assert "planted" in heldline("demo", "--take", "Heron").out
    assert not own_home.exists()
