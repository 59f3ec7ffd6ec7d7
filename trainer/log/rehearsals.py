"""Rehearsals of a section in the store: whose turn it was and which bars, a leader's own notes on bars, the numbers of the copies.

What was sung are attempts like all others, each with its rehearsal and its desk beside it, so a killed program loses no more of them than
of any take. A rehearsal belongs to the music; a note on a bar to that bar's music, so that it stays when another bar is corrected.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from trainer.log.store import Store
from trainer.log.written import beside_of, canonical, digest
from trainer.score.model import Score
from trainer.score.sameness import bar_music


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """One rehearsal of one line.

    Parameters
    ----------
    key : str
        32 hex digits that no other rehearsal has.
    started_utc, changed_utc : str
        ISO 8601.
    bars : (int, int) or None
        Which bars each desk sings, as the file counts them.
    desks : tuple of str
        Labels in the order in which they sing.
    passed : tuple of str
        Those who would rather not today.
    rounds : int
        How often the section sang together.
    manner : str
        "aloud", or "private": a singer sees the own bars, nobody anybody else's.
    """

    key: str
    started_utc: str
    changed_utc: str
    bars: tuple[int, int] | None = None
    desks: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()
    rounds: int = 0
    manner: str = "aloud"


class Rehearsals:
    """Rehearsals, notes and offsets of an open store."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def put(self, rehearsal: Rehearsal, score: Score, line_index: int) -> None:
        """Keep it as it stands, in place of what it was."""
        plan = {
            "bars": None if rehearsal.bars is None else list(rehearsal.bars),
            "desks": list(rehearsal.desks),
            "passed": list(rehearsal.passed),
            "rounds": rehearsal.rounds,
            "manner": rehearsal.manner,
        }
        row = (rehearsal.key, score.digest(), score.title, line_index, rehearsal.started_utc, rehearsal.changed_utc)
        with self._store.transaction() as run:
            run("INSERT OR REPLACE INTO rehearsals VALUES (?, ?, ?, ?, ?, ?, ?)", (*row, canonical(plan)))

    def last(self, score: Score, line_index: int) -> Rehearsal | None:
        """The latest one of this line of this music; None where there is none."""
        with self._store.transaction() as run:
            row = run(
                "SELECT key, started_utc, changed_utc, plan FROM rehearsals WHERE music_digest = ? AND line = ?"
                " ORDER BY changed_utc DESC, started_utc DESC LIMIT 1",
                (score.digest(), line_index),
            ).fetchone()
        return None if row is None else _rehearsal(*row)

    def turns(self, key: str) -> list[tuple[int, str]]:
        """Number and desk of every turn of a rehearsal that was not removed, in the order in which they were sung."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT number, beside FROM attempts WHERE beside LIKE ? AND removed_utc IS NULL ORDER BY number",
                (f'%"rehearsal":"{key}"%',),
            ).fetchall()
        return [(number, beside_of(json.loads(told)).desk) for number, told in rows]

    def notes(self, score: Score) -> dict[int, str]:
        """A leader's own notes by bar; those on bars that are the same music in an edited score too."""
        mine = {name: number for number, names in reversed(_names(score).items()) for name in names}
        found: dict[int, str] = {}
        with self._store.transaction() as run:
            rows = run(
                "SELECT music_digest = ?1, bar, bar_digest, words FROM bar_notes WHERE music_digest = ?1 OR title = ?2"
                " ORDER BY music_digest = ?1",
                (score.digest(), score.title),
            ).fetchall()
        for same, bar, bar_digest, words in rows:
            number = bar if same else next((mine[name] for name in bar_digest.split() if name in mine), None)
            if number is not None:
                found[number] = words
        return {number: words for number, words in sorted(found.items()) if words}

    def note(self, score: Score, bar: int, words: str) -> None:
        """Keep a note on a bar in place of an earlier one; no words take it away. Raises KeyError where there is no such bar."""
        name = " ".join(_names(score)[bar])
        with self._store.transaction() as run:
            run(
                "INSERT OR REPLACE INTO bar_notes VALUES (?, ?, ?, ?, ?)",
                (score.digest(), bar, score.title, name, words),
            )

    def bars_added(self, score: Score) -> int:
        """What the copies count more than the file; 0 where nobody said."""
        with self._store.transaction() as run:
            row = run("SELECT bars_added FROM copies WHERE music_digest = ?", (score.digest(),)).fetchone()
        return 0 if row is None else int(row[0])

    def add_bars(self, score: Score, bars_added: int) -> None:
        """Keep it."""
        with self._store.transaction() as run:
            run("INSERT OR REPLACE INTO copies VALUES (?, ?)", (score.digest(), bars_added))


def _names(score: Score) -> dict[int, tuple[str, str]]:
    """By bar its music with the bar before, and with the bar after: either tells it from another bar that is like it."""
    bars = bar_music(score)
    music = ["", *(bar.digest for bar in bars), ""]
    return {
        bar.number: (digest(f"{music[k]} {music[k + 1]}"), digest(f"{music[k + 1]}, {music[k + 2]}"))
        for k, bar in enumerate(bars)
    }


def _rehearsal(key: str, started_utc: str, changed_utc: str, plan: str) -> Rehearsal:
    """From its row; what a newer version added is left."""
    told: dict[str, Any] = json.loads(plan)
    bars = told.get("bars")
    return Rehearsal(
        key,
        started_utc,
        changed_utc,
        None if bars is None else (int(bars[0]), int(bars[1])),
        tuple(told.get("desks", ())),
        tuple(told.get("passed", ())),
        int(told.get("rounds", 0)),
        str(told.get("manner", "aloud")),
    )
