"""Marks of one pitch line against the truth. mir_eval.melody is the measure wherever it has one."""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import mir_eval
import numpy as np
from sung import GRID_SECONDS, Phrase

WIDTHS_CENTS = (50, 25, 10, 5)
COLUMNS = (*(f"RPA{width}" for width in WIDTHS_CENTS), "med", "oct", "VR", "VFA", "notes", "onset", "xRT")
HELD_FRAMES, ONSET_CENTS = 3, 20.0
LONGEST_WAIT_S = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """What an estimator said: ``hertz`` negative or 0 where unvoiced; ``known_s`` when each could first be said, nan if not live."""

    seconds: np.ndarray
    hertz: np.ndarray
    known_s: np.ndarray
    cpu_s: float


def marks(phrase: Phrase, line: Line) -> dict[str, float | np.ndarray]:
    """One value a column; ``notes`` and ``onset`` are arrays, one value a note, to be pooled before the median is taken."""
    grid = np.arange(len(phrase.truth_hz)) * GRID_SECONDS
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ref_v, ref_c, est_v, est_c = mir_eval.melody.to_cent_voicing(grid, phrase.truth_hz, line.seconds, line.hertz)
    out: dict[str, float | np.ndarray] = {
        f"RPA{width}": 100 * mir_eval.melody.raw_pitch_accuracy(ref_v, ref_c, est_v, est_c, cent_tolerance=width)
        for width in WIDTHS_CENTS
    }
    error = (est_c - ref_c)[(ref_v > 0) & (est_c > 0)]
    octaves = np.round(error / 1200)
    out["med"] = float(np.median(np.abs(error)))
    # of all sung frames, so that an estimator that says nothing does not err less
    out["oct"] = 100 * float(np.sum((octaves != 0) & (np.abs(error - 1200 * octaves) < 50))) / float((ref_v > 0).sum())
    recall, false_alarm = mir_eval.melody.voicing_measures(ref_v, est_v)
    out["VR"], out["VFA"] = 100 * recall, 100 * false_alarm
    out["notes"] = _note_errors(grid, ref_c, est_c, est_v, phrase)
    out["onset"] = _onsets_ms(grid, phrase, line)
    out["xRT"] = len(grid) * GRID_SECONDS / max(line.cpu_s, 1e-9)
    return out


def _note_errors(grid, ref_c, est_c, est_v, phrase: Phrase) -> np.ndarray:
    """Error of each note's median, in its inner part, against the truth's own median there; a note never heard is 1200."""
    errors = []
    for note in phrase.notes:
        trim = min(0.12, 0.25 * (note.end_s - note.start_s))
        inner = (grid >= note.start_s + trim) & (grid <= note.end_s - trim)
        heard = inner & (est_v > 0) & (est_c > 0)
        errors.append(abs(np.median(est_c[heard] - ref_c[heard])) if heard.sum() > 5 else 1200.0)
    return np.array(errors)


def _onsets_ms(grid, phrase: Phrase, line: Line) -> np.ndarray:
    """From a vowel's first sample, silence or a noise before it, to the first of three voiced frames within 20 cents."""
    waits = []
    for note in phrase.notes:
        if note.joined or note.vowel_s != note.start_s:
            continue
        near = (line.seconds > note.vowel_s - 0.03) & (line.seconds < note.vowel_s + LONGEST_WAIT_S)
        at = np.flatnonzero(near)
        # before the vowel's first sample the truth is what it begins with
        index = np.round(np.maximum(line.seconds[at], note.vowel_s + 0.004) / GRID_SECONDS).astype(int)
        truth = phrase.truth_hz[np.minimum(index, len(grid) - 1)]
        good = (line.hertz[at] > 0) & (truth > 0)
        good[good] &= np.abs(1200 * np.log2(line.hertz[at][good] / truth[good])) <= ONSET_CENTS
        run = np.convolve(good, np.ones(HELD_FRAMES), "valid") == HELD_FRAMES
        wait = line.known_s[at[int(run.argmax())]] - note.vowel_s if run.any() else LONGEST_WAIT_S
        waits.append(1000 * wait)
    return np.array(waits)


def pooled(many: list[dict]) -> dict[str, float]:
    """Means over phrases; medians over all notes. nan where nobody can say."""
    out = {c: float(np.mean([m[c] for m in many])) for c in COLUMNS if c not in ("notes", "onset", "xRT")}
    for column in ("notes", "onset"):
        every = np.concatenate([m[column] for m in many])
        out[column] = float(np.median(every)) if len(every) and np.isfinite(every).all() else float("nan")
    out["xRT"] = float(1.0 / np.mean([1.0 / m["xRT"] for m in many]))
    return out
