"""The simulated singers are the outside truth: they know nothing of the program, and each slips by its own rule and no other."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from six_singers import BEGINNER, FOLLOWER, LENDER, SIGHT_READER, SINGERS, SINKER, STEADY, Company, Singer
from slips import as_written
from written_music import FERRY_BELL, LOCK_GATE, Piece

SUPPORT = Path(__file__).resolve().parent / "support"
ALL = Company(("soprano", "alto", "bass"))
ALONE = Company()


def imported(name: str, seen: set[str]) -> set[str]:
    """Top names that a helper imports, those of helpers it imports included."""
    path = SUPPORT / f"{name}.py"
    if name in seen or not path.is_file():
        return set()
    seen.add(name)
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(str(node.module).split(".")[0])
    return found.union(*(imported(one, seen) for one in found))


@pytest.mark.parametrize("name", ["six_singers", "simulated_singer"])
def test_singers_import_nothing_of_the_program(name: str) -> None:
    found = imported(name, set())
    assert "written_music" in found
    assert not found & {"trainer", "audio"}


@pytest.mark.parametrize("singer", SINGERS, ids=lambda singer: singer.kind)
@pytest.mark.parametrize("piece", [FERRY_BELL, LOCK_GATE], ids=lambda piece: piece.title)
def test_a_take_comes_from_its_seed_alone(singer: Singer, piece: Piece) -> None:
    takes = [singer.sing(piece, "tenor", ALL, seed=seed) for seed in (1, 1, 2)]
    assert takes[0] == takes[1] != takes[2]
    assert {note.index for note in takes[0].performance} == set(range(len(piece.notes("tenor"))))


def test_who_follows_follows_only_in_company_and_not_against_the_guide() -> None:
    for singer in (FOLLOWER, LENDER):
        in_company = [singer.sing(FERRY_BELL, "tenor", ALL, seed=seed).slipped for seed in range(20)]
        assert sum(map(bool, in_company)) >= 10
        for company in (ALONE, Company(ALL.sounding, guide="full")):
            assert not any(singer.sing(FERRY_BELL, "tenor", company, seed=seed).slipped for seed in range(20))


def test_the_two_who_follow_have_different_rules() -> None:
    def places(singer: Singer) -> set[int]:
        return {k for seed in range(40) for k in singer.sing(FERRY_BELL, "tenor", ALL, seed=seed).slipped}

    assert places(LENDER) == {8, 9}  # behind the note of bar 8, which is the alto's too
    assert places(FOLLOWER)
    assert places(FOLLOWER) != places(LENDER)


def test_a_slip_after_a_voice_is_its_note_in_the_singers_own_octave() -> None:
    take = next(t for t in (LENDER.sing(FERRY_BELL, "tenor", ALL, seed=s) for s in range(9)) if t.slipped)
    sung = {note.index: note.midi for note in take.performance}
    assert take.slipped == {8: "alto", 9: "alto"}
    assert [round(sung[k]) for k in (8, 9)] == [59, 61]  # B3 and C#4 of the alto, octave kept


def test_who_is_steady_never_slips_and_stays_near_the_notes() -> None:
    written = as_written(FERRY_BELL, "tenor")
    for seed in range(30):
        take = STEADY.sing(FERRY_BELL, "tenor", ALL, seed=seed)
        assert take.slipped == {}
        assert max(abs(a.midi - b.midi) for a, b in zip(take.performance, written, strict=True)) < 0.16


def test_who_sinks_sinks_alone_too_and_by_the_bar() -> None:
    written = as_written(FERRY_BELL, "tenor")
    takes = [SINKER.sing(FERRY_BELL, "tenor", ALONE, seed=seed).performance for seed in range(60)]
    mean = [sum(take[k].midi for take in takes) / len(takes) - written[k].midi for k in range(len(written))]
    assert mean[0] == pytest.approx(0, abs=0.02)
    assert mean[10] == pytest.approx(-0.9, abs=0.03)


def test_who_reads_at_sight_is_lost_at_a_wide_leap_and_back_a_bar_later() -> None:
    lost = {k for seed in range(40) for k in SIGHT_READER.sing(FERRY_BELL, "tenor", ALONE, seed=seed).slipped}
    assert lost == {5, 6}  # B3 falls to F#3


def test_who_begins_is_wide_everywhere_and_less_so_with_the_guide() -> None:
    def wrong(company: Company) -> int:
        return sum(len(BEGINNER.sing(FERRY_BELL, "tenor", company, seed=seed).slipped) for seed in range(50))

    assert wrong(ALONE) > 3 * wrong(Company(guide="full")) > 0
    assert wrong(ALONE) == pytest.approx(wrong(ALL), rel=0.3)
