"""Where words turn as one thing grows: against what the words are said to mean, and every figure as it was (regression).

The meanings are the program's own contract, printed with every report: held within the tolerance, off beyond 70 cents, on time within 80 ms
and late said from 100, a breath up to half a beat or 600 ms. ``python tests/trainer/judge/test_rulers.py`` writes the figures anew.
"""

from __future__ import annotations

from functools import cache

import pytest
from rulers import CENTS, KEPT, STEPS_MS, Ruler, digests, rulers

from trainer.practice.take import Take


@cache
def all_rulers() -> dict[str, tuple[Ruler, list[Take]]]:
    return {one.name: (one, one.takes()) for one in rulers()}


def signs(name: str, which: int = 0) -> list[str]:
    return [note.sign.value for note in all_rulers()[name][1][which].notes]


@pytest.mark.parametrize(("name", "word"), [("sharp", "sharp"), ("flat", "flat")])
def test_cents_turn_at_the_tolerance_and_at_seventy(name: str, word: str) -> None:
    for cents, sign in zip(CENTS, signs(name), strict=True):
        if cents <= 25:
            assert sign == "held", cents
        elif 30 <= cents <= 70:
            assert sign == word, cents
        elif cents >= 75:
            assert sign in ("off", "pulled"), cents


def test_a_narrower_tolerance_turns_sooner_on_the_keyboards_notes() -> None:
    take = all_rulers()["sharp"][1][1]
    for cents, note in zip(CENTS, take.notes, strict=True):
        away = None if note.cents is None else abs(note.cents)
        if away is not None and away <= 15:
            assert note.sign.value == "held", cents
        if away is not None and 20 <= away <= 70:
            assert note.sign.value in ("sharp", "flat"), cents


def test_late_is_said_from_a_hundred_milliseconds_on_and_not_below_eighty() -> None:
    for ms, sign in zip(STEPS_MS[1:], signs("late")[1:], strict=True):
        if ms <= 80:
            assert sign == "held", ms
        if 120 <= ms <= 240:
            assert sign == "late", ms


def test_a_gap_up_to_half_a_second_is_a_breath_and_counts_as_held() -> None:
    found = dict(zip(STEPS_MS, signs("gap"), strict=True))
    assert all(found[ms] in ("held", "breath") for ms in STEPS_MS if ms <= 500)
    assert all(found[ms] not in ("held", "breath") for ms in STEPS_MS if ms >= 700)


def test_a_soft_or_short_sound_is_never_called_another_note() -> None:
    for name in ("soft", "short", "unclear", "left early", "gap", "gap late", "noisy"):
        assert not {"off", "pulled", "sharp", "flat", "octave"} & set(signs(name)), name


def test_what_a_machine_hums_is_not_the_singer() -> None:
    found = signs("machine")
    assert set(found[::3]) == {"silent"}
    assert set(found[1::3]) | set(found[2::3]) <= {"held", "breath", "left early"}


def test_every_figure_is_as_it_was() -> None:
    assert written() == KEPT.read_text(encoding="utf-8")


def written() -> str:
    rows = []
    for name, (_, takes) in all_rulers().items():
        rows += [f"{name} {number}: {digests(take)}" for number, take in enumerate(takes)]
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    KEPT.write_text(written(), encoding="utf-8")
