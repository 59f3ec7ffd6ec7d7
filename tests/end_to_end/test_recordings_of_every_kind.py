"""One take recorded in many ways is one take: rates, widths, channels, containers, lengths. And what cannot be judged says why."""

from __future__ import annotations

import functools
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import slips
from heldline_command import heldline, heldline_child, judged, save, signs, written_notes
from numpy.typing import NDArray
from rooms import at_rate, pink
from singers import CAST
from written_music import FERRY_BELL

Sound = NDArray[np.float64]
RATE_HZ = 48_000
STARTS_AT_S = 0.5
FAULTY = ["held", "flat", "held", "off", "held", "late", "held", "held", "pulled", "pulled", "held"]


@functools.cache
def alto() -> Sound:
    """Ferry Bell's alto with five faults, at 48 kHz."""
    singer = next(one for one in CAST if one.name == "simulated alto, straight")
    sung = slips.as_written(FERRY_BELL, "alto", starts_at_s=STARTS_AT_S)
    sung = slips.detuned(sung, 1, -42)
    sung = slips.at_pitch(sung, 3, slips.third_off(FERRY_BELL, "alto", 3))
    sung = slips.late_legato(sung, 5, 220)
    sung = slips.pulled(sung, (8, 9), FERRY_BELL, "alto", "soprano")
    return singer.sing(sung, slips.whole_s(FERRY_BELL, starts_at_s=STARTS_AT_S))


def sing_alto(score: Path, recording: Path, *options: object) -> dict[str, Any]:
    words = ("sing", score, "--voice", "alto", "--input", recording, "--starts-at", STARTS_AT_S)
    return judged(*words, *options)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return save(tmp_path_factory.mktemp("plain") / "take.wav", alto(), RATE_HZ)


@pytest.fixture(scope="module")
def usual(plain: Path, ferry_bell: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the plain recording came to, in a home of its own; every other way of recording is held against it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HELDLINE_HOME", str(tmp_path_factory.mktemp("usual")))
        return sing_alto(ferry_bell, plain)


def by_ffmpeg(source: Path, out: Path, *options: str) -> Path:
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", str(source), *options, str(out)], check=True)
    return out


def both_sides(folder: Path, left: Sound, right: Sound) -> Path:
    return save(folder / "stereo.wav", np.column_stack([left, right]), RATE_HZ)


WAYS = {
    "8 kHz": lambda f: save(f / "a.wav", at_rate(alto(), RATE_HZ, 8_000), 8_000),
    "11.025 kHz": lambda f: save(f / "a.wav", at_rate(alto(), RATE_HZ, 11_025), 11_025),
    "16 kHz, a headset in call mode": lambda f: save(f / "a.flac", at_rate(alto(), RATE_HZ, 16_000), 16_000),
    "44.1 kHz": lambda f: save(f / "a.wav", at_rate(alto(), RATE_HZ, 44_100), 44_100),
    "96 kHz in 24 bits": lambda f: save(f / "a.flac", at_rate(alto(), RATE_HZ, 96_000), 96_000, subtype="PCM_24"),
    "192 kHz in floats": lambda f: save(f / "a.wav", at_rate(alto(), RATE_HZ, 192_000), 192_000, subtype="FLOAT"),
    "8 bits": lambda f: save(f / "a.wav", alto() * 3, RATE_HZ, subtype="PCM_U8"),
    "ogg vorbis": lambda f: save(f / "a.ogg", alto(), RATE_HZ),
    "mp3": lambda f: save(f / "a.mp3", alto(), RATE_HZ),
    "stereo": lambda f: both_sides(f, alto(), alto()),
    "stereo, one side dead": lambda f: both_sides(f, np.zeros(len(alto())), alto()),
    "stereo, one side wired the wrong way": lambda f: both_sides(f, alto(), -alto()),
    "very soft": lambda f: save(f / "a.wav", alto() * 0.03, RATE_HZ, subtype="PCM_24"),
    "clipped": lambda f: save(f / "a.wav", np.clip(alto() * 12, -0.9, 0.9), RATE_HZ),
    "a constant offset": lambda f: save(f / "a.wav", alto() * 0.5 + 0.3, RATE_HZ),
}


@pytest.mark.parametrize("way", WAYS)
def test_the_way_of_recording_never_changes_a_sign(
    way: str, usual: dict[str, Any], ferry_bell: Path, tmp_path: Path
) -> None:
    take = sing_alto(ferry_bell, WAYS[way](tmp_path))
    assert signs(take) == FAULTY
    for note, same in zip(written_notes(take), written_notes(usual), strict=True):
        assert note["sung"] == same["sung"]
        assert abs(note["cents"] - same["cents"]) <= 3


@pytest.mark.parametrize(("ending", "options"), [("m4a", ("-c:a", "aac")), ("mka", ("-c:a", "flac"))])
def test_containers_of_telephones_are_read_where_the_system_decodes_them(
    ending: str, options: tuple[str, ...], plain: Path, ferry_bell: Path, tmp_path: Path
) -> None:
    take = sing_alto(ferry_bell, by_ffmpeg(plain, tmp_path / f"take.{ending}", *options))
    assert signs(take) == FAULTY


def test_a_take_deep_in_a_long_recording_is_found(ferry_bell: Path, tmp_path: Path) -> None:
    # a whole hour is measured in tests/bench/speed
    rate_hz, minutes, at_s = 8_000, 5, 270
    take = at_rate(alto(), RATE_HZ, rate_hz)
    sound = pink(60 * minutes * rate_hz, rate_hz, seed=1, dbfs=-66)
    sound[at_s * rate_hz : at_s * rate_hz + len(take)] += take
    long = save(tmp_path / "long.flac", sound, rate_hz)
    found = judged("sing", ferry_bell, "--voice", "alto", "--input", long, "--starts-at", at_s + STARTS_AT_S)
    assert signs(found) == FAULTY
    assert found["notes"][0]["start_s"] == pytest.approx(at_s + STARTS_AT_S, abs=0.1)


def test_a_recording_that_stops_half_way_is_told_as_incomplete(plain: Path, ferry_bell: Path, tmp_path: Path) -> None:
    half = save(tmp_path / "half.wav", alto()[: int(11.0 * RATE_HZ)], RATE_HZ)
    take = sing_alto(ferry_bell, half)
    assert take["status"] == "incomplete"
    assert signs(take)[:5] == FAULTY[:5]
    assert not {"held", "off", "pulled"} & set(signs(take)[6:])


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.wav", b""),
        ("text.wav", b"not sound at all\n" * 50),
        ("cut.wav", b"RIFF\x24\x00\x00\x00WAVEfmt "),
        ("zeros.flac", bytes(4096)),
        ("cut.mp3", b"ID3\x04\x00\x00\x00\x00\x00\x7f"),
        ("noise.m4a", bytes(range(256)) * 40),
    ],
)
def test_what_is_no_recording_is_refused_in_words(name: str, content: bytes, ferry_bell: Path, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(content)
    done = heldline("sing", ferry_bell, "--voice", "alto", "--input", tmp_path / name, "--json")
    assert (done.status, done.out) == (4, "")
    assert name in done.err
    assert "Traceback" not in done.err
    assert "fault of heldline" not in done.err


def test_a_damaged_mp3_leaves_no_decoders_talk_on_the_screen(tmp_path: Path) -> None:
    data = bytearray(save(tmp_path / "a.mp3", alto()[: 4 * RATE_HZ], RATE_HZ).read_bytes())
    for at in range(2_000, len(data), 3_000):
        data[at : at + 40] = bytes(40)
    (tmp_path / "a.mp3").write_bytes(bytes(data))
    done = heldline_child("trace", tmp_path / "a.mp3", "--csv")
    assert done.status in (0, 4, 5)
    assert "mpg123" not in done.err
    assert "MPEG" not in done.err
    assert "resync" not in done.err


def test_a_file_that_is_not_there_and_a_folder_are_refused_in_words(ferry_bell: Path, tmp_path: Path) -> None:
    for path in (tmp_path / "nowhere.wav", tmp_path):
        done = heldline("sing", ferry_bell, "--voice", "alto", "--input", path, "--json")
        assert (done.status, done.out) == (4, "")
        assert "fault of heldline" not in done.err


def test_a_voice_that_the_score_has_not_is_wrong_usage_and_names_those_it_has(plain: Path, ferry_bell: Path) -> None:
    for voice in ("mezzo", "5", "0", "-1", ""):
        done = heldline("sing", ferry_bell, f"--voice={voice}", "--input", plain, "--json")
        assert (done.status, done.out) == (2, ""), voice
        assert "tenor" in done.err or voice == ""


def test_a_voice_is_called_by_name_number_or_part(plain: Path, ferry_bell: Path) -> None:
    takes = [
        judged("sing", ferry_bell, "--voice", voice, "--input", plain, "--starts-at", STARTS_AT_S)
        for voice in ("alto", "2", "Alto")
    ]
    assert takes[0] == takes[1] == takes[2]
    assert (takes[0]["voice"], takes[0]["voice_number"]) == ("alto", 2)


def test_a_score_that_is_none_is_refused_in_words(plain: Path, tmp_path: Path) -> None:
    (tmp_path / "broken.musicxml").write_text("<score-partwise><part>", encoding="utf-8")
    (tmp_path / "other.xml").write_text("<html></html>", encoding="utf-8")
    (tmp_path / "empty.mid").write_bytes(b"")
    for name in ("broken.musicxml", "other.xml", "empty.mid", "missing.krn"):
        done = heldline("sing", tmp_path / name, "--voice", "alto", "--input", plain, "--json")
        assert (done.status, done.out) == (4, ""), name
        assert "fault of heldline" not in done.err, name


def test_the_same_command_prints_the_same_bytes_in_any_place(plain: Path, ferry_bell: Path, tmp_path: Path) -> None:
    words = ("sing", ferry_bell, "--voice", "alto", "--starts-at", STARTS_AT_S, "--json", "--input")
    moved = tmp_path / "another name.wav"
    moved.write_bytes(plain.read_bytes())
    first = heldline_child(*words, plain, env={"HELDLINE_HOME": str(tmp_path / "one"), "PYTHONHASHSEED": "1"})
    second = heldline_child(
        *words,
        moved,
        cwd=tmp_path,
        env={"HELDLINE_HOME": str(tmp_path / "two"), "PYTHONHASHSEED": "2", "TZ": "Asia/Tokyo", "LC_ALL": "C"},
    )
    assert first.status == 0, first.err
    assert first.out == second.out
    assert first.out == heldline(*words, plain).out


def test_silence_in_front_moves_every_time_and_changes_no_judgement(
    usual: dict[str, Any], ferry_bell: Path, tmp_path: Path
) -> None:
    padded = save(tmp_path / "later.wav", np.concatenate([np.zeros(3 * RATE_HZ), alto()]), RATE_HZ)
    moved = judged("sing", ferry_bell, "--voice", "alto", "--input", padded, "--starts-at", 3 + STARTS_AT_S)
    assert signs(moved) == signs(usual)
    for late, note in zip(written_notes(moved), written_notes(usual), strict=True):
        assert late["start_s"] == pytest.approx(note["start_s"] + 3, abs=0.006)
        assert abs(late["cents"] - note["cents"]) <= 1
        assert abs(late["onset_error_ms"] - note["onset_error_ms"]) <= 6
    assert [beat["sign"] for beat in moved["beats"]] == [beat["sign"] for beat in usual["beats"]]


def test_block_size_never_changes_a_byte_of_the_verdict(plain: Path, ferry_bell: Path) -> None:
    from audio.pitch import DEFAULT_TRACKER, TRACKERS
    from audio.soundfile_io import read_blocks
    from trainer.library import resolve
    from trainer.practice.settings import Settings
    from trainer.reports.as_json import as_text, to_json
    from trainer.takes.judging import judge

    score, texts = resolve(str(ferry_bell)), set()
    for block_frames in (97, 4_096, 65_536, 10**7):
        tracker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER](line=0, channel="mic1")
        heard = [frame for block in read_blocks(plain, block_frames=block_frames) for frame in tracker.feed(block)]
        performance = judge(score, (1,), [*heard, *tracker.flush()], settings=Settings(starts_at_s=STARTS_AT_S))  # type: ignore[arg-type]
        texts.add(as_text(to_json(performance.takes[0])))
    assert len(texts) == 1


def test_lines_of_one_performance_are_judged_side_by_side(plain: Path, ferry_bell: Path, tmp_path: Path) -> None:
    singer = next(one for one in CAST if one.name == "simulated tenor, breathy")
    sung = slips.missing(slips.as_written(FERRY_BELL, "tenor", starts_at_s=STARTS_AT_S), 2)
    tenor = save(tmp_path / "tenor.wav", singer.sing(sung, 23.5), singer.rate_hz)
    done = heldline("sing", ferry_bell, "--lines", f"alto={plain},tenor={tenor}", "--starts-at", STARTS_AT_S, "--json")
    assert done.status == 0, done.err
    assert done.table["schema"] == "heldline.group/1"
    first, second = done.table["takes"]
    assert (first["voice"], second["voice"]) == ("alto", "tenor")
    assert signs(first) == FAULTY
    assert signs(second) == ["held", "held", "silent", *["held"] * 8]
