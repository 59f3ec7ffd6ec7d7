"""The other voices yield to a singer who leads: music time is bent to the singer's, and waits where nobody sings.

Where the singer is ahead the others come in at once, where behind they are met within a beat or so, and before an entry that
nobody can foretell well the last beat is drawn out a little. No verdict is timed against any of this: such a take is judged in
free time, so late and early are not told.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from fractions import Fraction

from audio.heard import Heard, PitchFrame
from audio.units import RATE_HZ, SEMITONE_C100
from trainer.live.delay import Axis
from trainer.live.leading import Asked, Leading, Line
from trainer.live.places_in_time import Point
from trainer.live.player import Player
from trainer.score.model import Score

MEET_SECONDS = Fraction(1, 4)
"""Who was late is met no sooner, so that nobody is made to stand still for it."""

DRAWN_FROM_SECONDS, DRAWN_SHARE, DRAWN_MOST_SECONDS = Fraction(3, 2), Fraction(1, 10), Fraction(35, 100)
"""An entry so long after the last one is waited for by this share of the time between, and no longer; our own, measured by
``tests/bench/lead``."""

DECIDED_SECONDS = Fraction(3, 10)
"""So long before a silent bar is over it is decided to wait at the next entry; who enters there in time is not waited for."""

FINE = 960
"""Parts of a quarter to which a place is rounded where music time is bent, so that fractions stay short."""


def bent(
    here: Fraction, frame: int, singer: Point, *, beats: Iterable[Fraction], entry: Fraction | None, rate_hz: int
) -> list[Point]:
    """Music time from *frame* on, where it stands at *here*, over to a singer's.

    Parameters
    ----------
    here : Fraction
    frame : int
    singer : Point
        The singer's own time.
    beats : iterable of Fraction
        Where beats begin.
    entry : Fraction or None
        The singer's next entry.
    rate_hz : int
        Of the frames.

    Returns
    -------
    list of Point
        Never back from *here*, and never standing.
    """

    def at(quarters: Fraction) -> int:
        return singer.frame + round((quarters - singer.quarters) * 60 * rate_hz / singer.quarters_per_minute)

    ahead = singer.quarters + Fraction(frame - singer.frame, rate_hz) * singer.quarters_per_minute / 60
    start = max(here, Fraction(round(ahead * FINE), FINE))
    meet = frame + round(MEET_SECONDS * rate_hz)
    through = [(start, frame)]
    through += [
        (beat, at(beat)) for beat in beats if beat > start and at(beat) >= meet and (entry is None or beat < entry)
    ]
    if entry is not None and entry > start:
        length = Fraction(at(entry) - singer.frame, rate_hz)
        drawn = min(length * DRAWN_SHARE, DRAWN_MOST_SECONDS) if length >= DRAWN_FROM_SECONDS else Fraction(0)
        through.append((entry, max(at(entry), through[-1][1] + rate_hz // 100) + round(drawn * rate_hz)))
    points = [
        Point(begin, quarters, (after - quarters) * 60 * rate_hz / (end - begin))
        for (quarters, begin), (after, end) in itertools.pairwise(through)
    ]
    return [*points, Point(through[-1][1], through[-1][0], singer.quarters_per_minute)]


class Following:
    """Hears what one take hears, and bends its player's music time.

    Parameters
    ----------
    player : Player
        Which has begun the take.
    axis : Axis
        The take's.
    """

    def __init__(self, player: Player, axis: Axis) -> None:
        self._player, self._axis = player, axis
        stems = player.stems
        self.still = "singing"
        """What it is called where music time stands still: "waiting" for the singer, a "count-in" that a key asked for, or, for a moment
        until what was bent sounds, "singing"."""
        self._beats = [beat for beat, _ in stems.score.bars().beats()]
        begun = player.begun
        if begun is None:
            raise ValueError("nothing was begun that could be followed")
        self._leading = Leading(
            asked(stems.score, stems.line_index, stems.settings.a4_offset_c100),
            Line(Fraction(0), axis.played(begun.music_frame), player.tempo.points[0][1]),
        )

    def hear(self, records: Sequence[Heard]) -> None:
        """Take what was just heard."""
        if self._player.paused and not self._leading.waits:
            return  # somebody pressed a key
        frames = [record for record in records if isinstance(record, PitchFrame)]
        lines = [line for frame in frames if (line := self._leading.hear(frame)) is not None]
        if lines:
            self._yield_to(lines[-1])
        elif frames and not self._leading.waits:
            self._wait_where_silent(frames[-1].centre_frame)

    def go_on(self, frame: int, quarters: Fraction) -> None:
        """Music time goes on by a key's word at a played frame, as after a pause."""
        self.still = "count-in"
        self._leading.go_on(Line(quarters, self._axis.played(frame), self._leading.line.quarters_per_minute))

    def _yield_to(self, line: Line) -> None:
        self.still = "singing"
        rate = self._axis.delay.rate_hz
        singer = Point(self._axis.sounded(line.frame), line.quarters, line.quarters_per_minute)
        entry = self._leading.next_entry
        next_quarters = None if entry is None else entry.onset_quarters
        self._player.bend(
            lambda here, frame: bent(here, frame, singer, beats=self._beats, entry=next_quarters, rate_hz=rate)
        )

    def _wait_where_silent(self, now_frame: int) -> None:
        """After a bar without a sound the others wait at the singer's next entry."""
        since = self._leading.silent_since(now_frame)
        line = self._leading.line
        quarters = line.quarters + Fraction(since - line.frame, RATE_HZ) * line.quarters_per_minute / 60
        bar = self._player.stems.score.bars().at(max(quarters, Fraction(0))).length_quarters
        bar_frames = bar * 60 * RATE_HZ / line.quarters_per_minute
        if now_frame - since < max(bar_frames - DECIDED_SECONDS * RATE_HZ, bar_frames / 2):
            return
        for place in self._leading.entries_from(quarters):
            if self._player.wait_at(place) is not None:
                self._leading.stand_at(place)
                self.still = "waiting"
                return


def asked(score: Score, line_index: int, a4_offset_c100: int) -> list[Asked]:
    """The notes of a line as entries to be waited for."""
    return [
        Asked(note.onset_quarters, note.end_quarters, note.pitch.midi * SEMITONE_C100 + a4_offset_c100)
        for note in score.lines[line_index].notes
    ]
