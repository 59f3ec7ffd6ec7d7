"""What is said of several singers together."""

from __future__ import annotations

from dataclasses import replace

import pytest
from handmade_takes import clean_take, faulty_take, note, nothing_heard

from trainer.practice.signs import Sign
from trainer.practice.take import Performance
from trainer.reports.as_json import group_to_json
from trainer.reports.look import Look
from trainer.reports.text import performance_text
from trainer.reports.together import together_text

ALTO = replace(clean_take(), voice="alto", voice_number=2, notes=tuple(note(bar, cents=-26) for bar in range(1, 12)))
SOPRANO = replace(clean_take(), voice="soprano", voice_number=1)
BASS = replace(nothing_heard(), voice="bass", voice_number=4)


@pytest.fixture
def quartet() -> Performance:
    return Performance((SOPRANO, ALTO, faulty_take(), BASS))


def test_a_quartet_is_told_on_one_screen(quartet: Performance) -> None:
    told = together_text(quartet, Look(80)).splitlines()
    assert len(told) <= 22
    assert max(map(len, told)) <= 80
    assert told[0] == "Ferry Bell at Low Water: soprano, alto, tenor, bass"
    assert told[2].split() == ["bar", *(str(bar) for bar in range(1, 12))]
    assert told[3].startswith("soprano  ●●●●")
    assert any(line.startswith("bass: nothing heard") for line in told)
    assert any(line.startswith("soprano: 11 of 11 held") for line in told)
    (said,) = (" ".join(told[k:]) for k, line in enumerate(told) if line.startswith("Together:"))
    assert "alto 22 cents under the others" in " ".join(said.split())


def test_who_was_not_heard_has_the_sign_of_silence_on_every_beat(quartet: Performance) -> None:
    doubtful = replace(BASS, beats=tuple(replace(beat, sign=Sign.UNSURE) for beat in SOPRANO.beats))
    told = together_text(Performance((SOPRANO, doubtful)), Look(80)).splitlines()
    (row,) = (line for line in told if line.startswith("bass  "))
    assert set(row.split()[1:]) == {"○○○○"}
    assert "○ silent" in "\n".join(told)
    assert "?" not in "\n".join(told)


def test_every_take_follows_the_summary(quartet: Performance) -> None:
    told = performance_text(quartet, Look(80))
    assert told.startswith(together_text(quartet, Look(80)))
    assert all(f"Ferry Bell at Low Water: {voice}, sung" in told for voice in ("soprano", "alto", "tenor", "bass"))


def test_plain_draws_no_table(quartet: Performance) -> None:
    assert "●" not in together_text(quartet, Look(80, form="plain"))


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_no_line_is_wider_than_the_terminal(quartet: Performance, width: int) -> None:
    assert max(map(len, together_text(quartet, Look(width)).splitlines())) <= width


def test_json_adds_how_they_stood_to_each_other_to_the_takes(quartet: Performance) -> None:
    table = group_to_json(quartet)
    assert [take["voice"] for take in table["takes"]] == ["soprano", "alto", "tenor", "bass"]
    voices = {one["voice"]: one["against_others_cents"] for one in table["together"]["voices"]}
    assert voices["alto"] == -22
    assert voices["bass"] is None
    assert table["together"]["chords"][0]["bar"] == 1


def test_too_little_to_say_is_said() -> None:
    told = together_text(Performance((SOPRANO, BASS)), Look(80))
    assert "too few right notes" in told
