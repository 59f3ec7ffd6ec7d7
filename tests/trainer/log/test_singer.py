"""What is remembered of whoever sings at this machine."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.errors import LogError
from trainer.log.singer import SingerMemory


def test_each_part_has_its_own_octave_and_keeps_it(tmp_path: Path) -> None:
    memory = SingerMemory(tmp_path / "state" / "singer.json")
    assert memory.octaves("tenor") == 0
    memory.sang("tenor", 1)
    memory.sang("soprano", -1)
    again = SingerMemory(tmp_path / "state" / "singer.json")
    assert [again.octaves(part) for part in ("soprano", "alto", "tenor")] == [-1, 0, 1]
    again.sang("tenor", 0)
    assert memory.octaves("tenor") == 0


def test_as_written_the_first_time_leaves_no_file(tmp_path: Path) -> None:
    SingerMemory(tmp_path / "singer.json").sang("tenor", 0)
    assert not (tmp_path / "singer.json").exists()


@pytest.mark.parametrize(
    "text", ["", "[1]", "\x00", '{"octaves": 3}', '{"octaves": {"tenor": "up"}}', '{"octaves": {"tenor": 7}}']
)
def test_a_file_that_says_nothing_sensible_is_as_none_and_is_written_anew(tmp_path: Path, text: str) -> None:
    path = tmp_path / "singer.json"
    path.write_text(text)
    memory = SingerMemory(path)
    assert memory.octaves("tenor") == 0
    memory.sang("tenor", 1)
    assert memory.octaves("tenor") == 1


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(LogError, match="the octave cannot be remembered"):
        SingerMemory(tmp_path / "file" / "singer.json").sang("tenor", 1)
