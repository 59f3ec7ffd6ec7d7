"""The voices of a score in a file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from pitch_measures import by_fourier, cents

from audio.errors import SettingError, SoundFileError
from audio.render import LIMIT_DBFS, TYPICAL_DBFS
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.voices.hear import hear_to_file
from trainer.voices.sounding import LeadIn


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_the_file_holds_the_voices_at_their_pitch(tmp_path: Path, four_parts: Score, suffix: str, rate_hz: int) -> None:
    path = tmp_path / f"a{suffix}"
    written = hear_to_file(four_parts, (3,), path, rate_hz=rate_hz)
    sound, rate = soundfile.read(path)
    assert rate == rate_hz
    assert sound.shape == (round(written.length_s * rate_hz), 2)
    assert written.length_s == pytest.approx(12.5)
    assert abs(cents(by_fourier(sound[rate : 3 * rate, 0], rate, 246.942), 246.942)) < 0.1
    assert not np.any(sound[-rate // 4 :])


def test_it_says_where_bar_one_begins(tmp_path: Path, four_parts: Score) -> None:
    written = hear_to_file(four_parts, (0,), tmp_path / "a.wav", lead_in=LeadIn(count_in_bars=2))
    assert written.starts_at_s == 8.0
    sound, rate = soundfile.read(tmp_path / "a.wav")
    voice = np.sqrt(np.mean(sound[round(8.2 * rate) : 9 * rate] ** 2))
    assert np.sqrt(np.mean(sound[round(7.2 * rate) : round(7.9 * rate)] ** 2)) < 0.01 * voice


def test_level_is_low_and_the_peak_is_held(tmp_path: Path, four_parts: Score) -> None:
    hear_to_file(four_parts, (0, 1, 2, 3), tmp_path / "a.wav", lead_in=LeadIn(True, 2, 0, 1), click="on")
    sound, rate = soundfile.read(tmp_path / "a.wav")
    assert np.abs(sound).max() <= 10 ** (LIMIT_DBFS / 20) + 1e-4
    seconds = sound[: len(sound) // rate * rate].reshape(-1, rate, 2)
    loudest = 10 * np.log10(np.max(np.mean(seconds**2, axis=(1, 2))))
    assert TYPICAL_DBFS - 4 < loudest < TYPICAL_DBFS + 2
    first = sound[np.flatnonzero(np.any(sound != 0, axis=1))[0] :]
    assert np.abs(first[: rate // 50]).max() < 0.02  # 20 ms in, still next to nothing


def test_two_writings_are_the_same_bytes(tmp_path: Path, four_parts: Score) -> None:
    hear_to_file(four_parts, (0, 1), tmp_path / "a.wav")
    hear_to_file(four_parts, (0, 1), tmp_path / "b.wav")
    assert (tmp_path / "a.wav").read_bytes() == (tmp_path / "b.wav").read_bytes()


def test_a_score_of_rests_is_written_as_silence(tmp_path: Path, score_of: Callable[..., Score]) -> None:
    written = hear_to_file(score_of(". ."), (0,), tmp_path / "a.wav")
    sound, _ = soundfile.read(tmp_path / "a.wav")
    assert written.length_s > 0
    assert not np.any(sound)


@pytest.mark.parametrize(
    "wrong", [{"which": ()}, {"rate_hz": 22_050}, {"click": "loud"}, {"path": "a.mp3"}, {"path": "a"}]
)
def test_wrong_usage_is_told_and_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, four_parts: Score, wrong: dict[str, object]
) -> None:
    monkeypatch.chdir(tmp_path)
    asked = {"which": (0,), "path": "a.wav", **wrong}
    with pytest.raises(SettingError):
        hear_to_file(four_parts, asked.pop("which"), asked.pop("path"), **asked)  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_the_way_is_told(tmp_path: Path, four_parts: Score) -> None:
    (tmp_path / "a.wav").mkdir()
    with pytest.raises(SoundFileError):
        hear_to_file(four_parts, (0,), tmp_path / "a.wav", settings=Settings(against="pure"))
