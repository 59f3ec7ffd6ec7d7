"""A take looked at again: quickly where the judge is the same, anew where it is not, and listened to bar by bar."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from heard_frames import Sung, as_written, frames

from audio.heard import Anchor, KeyNote
from trainer.errors import LogError
from trainer.library import resolve
from trainer.log.attempt import Attempt
from trainer.log.store import Store
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.takes import recalled as room
from trainer.takes.keeping import judge_again
from trainer.takes.recalled import recalled
from trainer.takes.resounded import write_bars

TENOR = 2


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


@pytest.fixture(scope="module")
def attempt(score: Score) -> Attempt:
    """Bar 9 a tone high, all else as written."""
    sung = [Sung(one.start_s, one.end_s, one.midi + 2.0 * (k == 8)) for k, one in enumerate(as_written(score, TENOR))]
    return Attempt(
        "0" * 32, "2026-03-01T19:00:00Z", "0.1.0", "sung", score, (TENOR,), Settings(), heard=tuple(frames(sung, 45.0))
    )


def pitch_midi(sound: np.ndarray, rate_hz: int, at_s: float) -> float:
    """Pitch of a fifth of a second by autocorrelation, sharpened by a parabola; independent of the project's trackers."""
    part = sound[round(at_s * rate_hz) : round((at_s + 0.2) * rate_hz)]
    part = part - part.mean()
    found = np.correlate(part, part, "full")[len(part) - 1 :]
    low, high = rate_hz // 700, rate_hz // 70
    lag = low + int(np.argmax(found[low:high]))
    before, here, after = found[lag - 1 : lag + 2]
    return float(69 + 12 * np.log2(rate_hz / (lag + 0.5 * (before - after) / (before - 2 * here + after)) / 440))


def test_it_is_the_same_as_judging_again_and_judges_only_once(
    tmp_path: Path, attempt: Attempt, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(tmp_path / "takes.db") as store:
        number = store.put(attempt)
        cover, first = recalled(store, number)
        assert cover.heard == ()
        assert cover.score == attempt.score
        assert first == judge_again(attempt, attempt.settings)
        monkeypatch.setattr(room, "judged_now", None)  # to be asked again would raise
        assert recalled(store, number)[1] == first


def test_other_settings_are_other_verdicts_and_both_are_kept(tmp_path: Path, attempt: Attempt) -> None:
    with Store(tmp_path / "takes.db") as store:
        number = store.put(attempt)
        own = recalled(store, number)[1]
        fine = recalled(store, number, Settings(tolerance_cents=15))[1]
        assert fine.takes[0].settings.tolerance_cents == 15
        assert recalled(store, number)[1] == own
        assert recalled(store, number, Settings(tolerance_cents=15))[1] == fine


def test_another_judge_is_not_believed(tmp_path: Path, attempt: Attempt, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store(tmp_path / "takes.db") as store:
        number = store.put(attempt)
        own = recalled(store, number)[1]
        store.keep_judged(
            number, "an older judge", attempt.settings, recalled(store, number, Settings(tolerance_cents=15))[1]
        )
        assert recalled(store, number)[1] == own
    judge = tmp_path / "judge"
    judge.mkdir()
    (judge / "one.py").write_text("x = 1\n")
    monkeypatch.setattr(room, "ROOT", tmp_path)
    monkeypatch.setattr(room, "JUDGING", ("judge",))
    room.judge_name.cache_clear()
    before = room.judge_name()
    (judge / "one.py").write_text("x = 22\n")
    room.judge_name.cache_clear()
    assert room.judge_name() != before
    room.judge_name.cache_clear()


def test_what_is_kept_of_it_and_damaged_is_judged_again(tmp_path: Path, attempt: Attempt) -> None:
    with Store(tmp_path / "takes.db") as store:
        number = store.put(attempt)
        own = recalled(store, number)[1]
        store._connection.execute("UPDATE judged_before SET packed = x'00'")
        assert recalled(store, number)[1] == own


def test_my_bar_the_right_bar_and_both_are_heard_one_after_the_other(tmp_path: Path, attempt: Attempt) -> None:
    take = judge_again(attempt, attempt.settings).takes[0]
    starts = write_bars(attempt, 0, take, (9, 9), tmp_path / "bar.wav")
    assert [name for name, _ in starts] == ["mine", "right", "both"]
    sound, rate_hz = soundfile.read(tmp_path / "bar.wav")
    left = sound[:, 0]
    at = dict(starts)
    # bar 9 of the tenor is G#3 (56), sung as A#3 (58)
    for second in (0.5, 2.0, 3.5):
        assert pitch_midi(left, rate_hz, at["mine"] + second) == pytest.approx(58, abs=0.05)
        assert pitch_midi(left, rate_hz, at["right"] + second) == pytest.approx(56, abs=0.05)
    both = left[round((at["both"] + 2) * rate_hz) : round((at["both"] + 3) * rate_hz)]
    spectrum = np.abs(np.fft.rfft(both * np.hanning(len(both))))
    hertz = np.fft.rfftfreq(len(both), 1 / rate_hz)
    loudest = [spectrum[np.abs(hertz - 440 * 2 ** ((midi - 69) / 12)) < 2].max() for midi in (56, 58)]
    apart = spectrum[np.abs(hertz - 440 * 2 ** ((57 - 69) / 12)) < 2].max()
    assert min(loudest) > 10 * apart


def test_the_right_bar_is_in_the_singers_own_octave(tmp_path: Path, score: Score) -> None:
    sung = [Sung(one.start_s, one.end_s, one.midi + 12) for one in as_written(score, TENOR)]
    attempt = Attempt("1" * 32, "", "", "sung", score, (TENOR,), Settings(), heard=tuple(frames(sung, 45.0)))
    take = judge_again(attempt, attempt.settings).takes[0]
    assert take.octave_shift == 1
    at = dict(write_bars(attempt, 0, take, (9, 9), tmp_path / "bar.wav"))
    sound, rate_hz = soundfile.read(tmp_path / "bar.wav")
    assert pitch_midi(sound[:, 0], rate_hz, at["right"] + 1) == pytest.approx(68, abs=0.05)


def test_a_live_take_that_waited_is_heard_where_its_bar_was_sung(tmp_path: Path, score: Score) -> None:
    # bar 1 from second 1 to 5, then six seconds of waiting
    anchors = (Anchor(24_000, Fraction(0), Fraction(60)),)
    sung = [Sung(1.0, 4.9, 54.0), Sung(11.0, 14.9, 57.0)]
    heard = sorted(
        [*frames(sung, 20.0), Anchor(5 * 24_000, Fraction(4), Fraction(0)), Anchor(11 * 24_000, Fraction(4), Fraction(60))],
        key=lambda record: getattr(record, "centre_frame", getattr(record, "frame", 0)),
    )  # fmt: skip
    attempt = Attempt("2" * 32, "", "", "sung", score, (TENOR,), Settings(), anchors, tuple(heard))
    take = judge_again(attempt, attempt.settings).takes[0]
    at = dict(write_bars(attempt, 0, take, (2, 2), tmp_path / "bar.wav"))
    sound, rate_hz = soundfile.read(tmp_path / "bar.wav")
    longest = at["right"] - at["mine"]
    assert pitch_midi(sound[:, 0], rate_hz, at["mine"] + longest - 3.0) == pytest.approx(57, abs=0.05)


def test_keys_are_sounded_as_they_were_pressed(tmp_path: Path, score: Score) -> None:
    keys = tuple(
        KeyNote(0, int(n.onset_quarters * 24_000), int(n.end_quarters * 24_000) - 600, n.pitch.midi)
        for n in score.lines[TENOR].notes
    )
    attempt = Attempt("3" * 32, "", "", "keyed", score, (TENOR,), Settings(), heard=keys)
    take = judge_again(attempt, attempt.settings).takes[0]
    at = dict(write_bars(attempt, 0, take, (4, 5), tmp_path / "bars.flac"))
    sound, rate_hz = soundfile.read(tmp_path / "bars.flac")
    assert pitch_midi(sound[:, 0], rate_hz, at["mine"] + 1) == pytest.approx(61, abs=0.05)
    assert pitch_midi(sound[:, 0], rate_hz, at["mine"] + 5) == pytest.approx(59, abs=0.05)


def test_where_nothing_was_heard_nothing_is_written(tmp_path: Path, score: Score, attempt: Attempt) -> None:
    silent = Attempt("4" * 32, "", "", "sung", score, (TENOR,), Settings(), heard=tuple(frames([], 45.0)))
    with pytest.raises(LogError, match="nothing was heard"):
        write_bars(silent, 0, judge_again(silent, silent.settings).takes[0], (9, 9), tmp_path / "bar.wav")
    with pytest.raises(KeyError, match="bars 1 to 11"):
        write_bars(attempt, 0, judge_again(attempt, attempt.settings).takes[0], (11, 12), tmp_path / "bar.wav")
    assert list(tmp_path.iterdir()) == []
