"""How intervals and voices are called in remarks."""

from __future__ import annotations

import pytest

from trainer.singable.kinds.leaps import interval_words
from trainer.singable.kinds.surprise import article


@pytest.mark.parametrize(
    ("called", "words"),
    [
        ("m6", "a minor sixth"),
        ("P8", "an octave"),
        ("A5", "an augmented fifth"),
        ("d7", "a diminished seventh"),
        ("M10", "a major tenth"),
        ("P12", "a perfect twelfth"),
        ("P15", "an interval of P15"),
        ("AA4", "an interval of AA4"),
    ],
)
def test_an_interval_is_called_as_in_any_handbook(called: str, words: str) -> None:
    assert interval_words(called) == words


def test_an_alto_has_another_article() -> None:
    assert [article(voice) for voice in ("alto", "bass")] == ["an alto", "a bass"]
