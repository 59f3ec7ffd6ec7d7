"""Which desk has which file, as the words of ``heldline sectional`` say it."""

from __future__ import annotations

import pytest

from trainer.cli._parser import UsageError, parse
from trainer.cli.sectional import desks_named
from trainer.section.labels import BIRDS


def test_labels_and_files_are_taken_from_one_word_or_several() -> None:
    assert desks_named(["wren=1.wav,heron=2.wav", "teal=3.wav"]) == [
        ("wren", "1.wav"),
        ("heron", "2.wav"),
        ("teal", "3.wav"),
    ]


def test_desks_without_labels_get_bird_words_that_nobody_else_has() -> None:
    assert desks_named(["heron=1.wav,2.wav,3.wav"]) == [("heron", "1.wav"), ("wren", "2.wav"), ("teal", "3.wav")]
    many = [label for label, _ in desks_named([",".join(f"{k}.wav" for k in range(len(BIRDS) + 2))])]
    assert len(set(many)) == len(many)


@pytest.mark.parametrize("words", ["wren=1.wav,wren=2.wav", "wren=1.wav,", "=1.wav", "wren="])
def test_a_label_given_twice_or_a_file_left_out_is_refused(words: str) -> None:
    with pytest.raises(UsageError):
        desks_named([words])


@pytest.mark.parametrize("files", [["a.wav", "b.wav"], ["a.wav,", "b.wav"], ["wren=a.wav", "heron=b.wav"]])
def test_files_with_a_space_between_them_are_told_of_the_comma(files: list[str]) -> None:
    for words in (["--input", *files], ["Rope over the Sluice", "--voice", "alto", "--input", *files]):
        with pytest.raises(UsageError, match=r"--input a.wav,b.wav or, with labels, wren=a.wav,heron=b.wav") as refused:
            parse(["sectional", *words])
        assert refused.value.exit_status == 2
    assert parse(["sectional", "--voice", "alto", "--input", "a.wav", "score.drill"]).score == "score.drill"
