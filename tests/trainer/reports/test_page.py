"""Scores on paper, read back from the page as a person would: title, voices, bar numbers, notes."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from defusedxml.ElementTree import fromstring
from heldline_command import heldline

from trainer.library import resolve
from trainer.reports.page import as_html, pages_of
from trainer.score.change import cut

SVG = "{http://www.w3.org/2000/svg}"
FERRY = "Ferry Bell at Low Water"
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")  # SWIG's, at the library's import


def words(page: str) -> list[str]:
    return [part.text.strip() for part in fromstring(page).iter(f"{SVG}tspan") if part.text and part.text.strip()]


def kinds(page: str, kind: str) -> int:
    return sum(kind in group.get("class", "").split() for group in fromstring(page).iter(f"{SVG}g"))


def test_the_page_has_the_title_every_voice_every_bar_number_and_every_note() -> None:
    score = resolve(FERRY)
    (page,) = pages_of(score, 2)
    told = words(page)
    assert FERRY in told
    assert {"soprano", "alto", "TENOR", "bass"} <= set(told)
    assert [word for word in told if word.isdecimal()] == [str(bar.number) for bar in score.bars().bars]
    assert kinds(page, "note") == sum(len(line.notes) for line in score.lines)
    assert "60 quarters a minute" in told


def test_the_own_part_is_larger_than_the_others() -> None:
    def own_height(own: int | None) -> list[float]:
        root = fromstring(pages_of(resolve(FERRY), own)[0])
        first = next(g for g in root.iter(f"{SVG}g") if "measure" in g.get("class", "").split())
        heights = []
        for staff in (g for g in first.iter(f"{SVG}g") if g.get("class") == "staff"):
            lines = [path.get("d", "").split() for path in staff.findall(f"{SVG}path")]
            ys = [float(line[1]) for line in lines if len(line) > 1 and line[1].replace(".", "").isdecimal()]
            heights.append(max(ys[:5]) - min(ys[:5]))
        return heights

    alike, marked = own_height(None), own_height(2)
    assert len(set(alike)) == 1
    assert [height == marked[2] for height in marked] == [False, False, True, False]
    assert marked[2] > 1.3 * marked[0]


def test_where_the_file_prints_other_numbers_both_stand_as_in_every_report() -> None:
    (page,) = pages_of(cut(resolve(FERRY), 5, 8), None)
    bars = cut(resolve(FERRY), 5, 8).bars().bars
    asked = [f"{bar.number} ({bar.printed})" if bar.printed != str(bar.number) else str(bar.number) for bar in bars]
    assert [word for word in words(page) if word[0].isdecimal() and "quarters" not in word] == asked


def test_a_part_copy_has_one_voice(tmp_path: Path) -> None:
    done = heldline("library", "show", FERRY, "--page", tmp_path / "alto.svg", "--voice", "alto", "--part-copy")
    assert done.status == 0, done.err
    page = (tmp_path / "alto.svg").read_text(encoding="utf-8")
    assert kinds(page, "note") == len(resolve(FERRY).lines[1].notes)
    assert "alto" in words(page)
    assert "tenor" not in words(page)


def test_a_document_for_printing_has_every_page_on_a_sheet_of_its_own() -> None:
    told = as_html("Ferry & Bell", ["<svg>1</svg>", "<svg>2</svg>"])
    assert told.count("<svg>") == 2
    assert "Ferry &amp; Bell" in told


def test_without_the_extra_one_sentence_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "verovio", None)
    done = heldline("library", "show", FERRY, "--page", tmp_path / "x.html")
    assert done.status == 2
    assert "pip install 'heldline[page]'" in done.err
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "words",
    [
        ("show", "1", "--page", "x.pdf"),
        ("--page", "x.svg"),
        ("show", "1", "--part-copy"),
        ("show", "1", "--page", "x.svg", "--voice", "oboe"),
    ],
)
def test_a_page_that_cannot_be_is_wrong_usage(
    words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = heldline("library", *words)
    assert done.status == 2
    assert len(done.err.strip().splitlines()) == 3
