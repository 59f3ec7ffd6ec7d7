"""The voices on a MIDI synth: at every look, what should be down now is compared with what is, and the difference is sent.

So pause, tempo, mutes and the guide need nothing of their own. Clicks go to the percussion channel. A synth sounds equal temperament
at its own A, whatever the singer is measured by; keys have no cents.

Source: General MIDI 1 Sound Set (MMA 1991): program 53 Choir Aahs, channel 10 percussion, keys 76 and 77 high and low wood block.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.live.player import Player
from trainer.score.model import Score, sounding

if TYPE_CHECKING:
    from audio.devices.keys_link import SynthLink

CHOIR = 52  # program 53 as people count
PERCUSSION = 9
HIGH_BLOCK, LOW_BLOCK = 76, 77
VOICE_VELOCITY, LOUDER_VELOCITY, KEY_VELOCITY, CLICK_VELOCITY = 64, 92, 72, 60


class SynthVoices:
    """Hangs on a session's ``ticks``.

    Parameters
    ----------
    synth : SynthLink
    score : Score
    own : int
        The player's own line; its channel answers the keys.
    octaves : int
    down : callable
        The keys that are down now.
    """

    def __init__(
        self, synth: SynthLink, score: Score, own: int, octaves: int, down: Callable[[], tuple[int, ...]]
    ) -> None:
        self._synth, self._score, self._own, self._octaves, self._down = synth, score, own, octaves, down
        self._sounding: dict[tuple[int, int], int] = {}
        self._clicked: Fraction | None = None
        for line in range(len(score.lines)):
            synth.program(CHOIR, _channel(line))

    def __call__(self, player: Player) -> None:
        """Sound what is due now."""
        wanted = self._wanted(player)
        for channel, midi in [key for key in self._sounding if key not in wanted]:
            self._synth.note_off(midi, channel)
            del self._sounding[channel, midi]
        for (channel, midi), velocity in wanted.items():
            if (channel, midi) not in self._sounding:
                self._synth.note_on(midi, velocity, channel)
                self._sounding[channel, midi] = velocity
        self._click(player)

    def _wanted(self, player: Player) -> dict[tuple[int, int], int]:
        desk, score = player.desk, player.stems.score
        found: dict[tuple[int, int], int] = {}
        if desk.keys == "on":
            found |= {(_channel(self._own), midi): KEY_VELOCITY for midi in self._down()}
        given = player.given(player.now_frame)
        notes = [line.notes[0] for line in score.lines if line.notes]
        if given == "chord":
            found |= {(_channel(k), note.pitch.midi): VOICE_VELOCITY for k, note in enumerate(notes)}
        if given == "note" and score.lines[self._own].notes:
            first = score.lines[self._own].notes[0].pitch.midi + 12 * self._octaves
            found[_channel(self._own), first] = VOICE_VELOCITY
        quarters = player.quarters(player.now_frame)
        if quarters is None or quarters < 0 or player.stands_still(player.now_frame):
            return found
        for line, note in sounding(score, quarters):
            if desk.guide != "full" if line == self._own else line in desk.muted:
                continue
            found[_channel(line), note.pitch.midi] = LOUDER_VELOCITY if line == desk.louder else VOICE_VELOCITY
        return found

    def _click(self, player: Player) -> None:
        """One wood block at each beat that is counted, or all through."""
        quarters = player.quarters(player.now_frame)
        begun, desk = player.begun, player.desk
        if quarters is None or begun is None or player.now_frame < begun.count_frame or desk.click == "silent":
            return
        if (
            player.stands_still(player.now_frame)
            or quarters >= player.stems.score.end_quarters
            or (quarters >= 0 and desk.click == "off")
        ):
            return
        meter = player.stems.score.bars().at(max(quarters, Fraction(0))).meter
        start = player.stems.score.bars().first_full_quarters
        beat = (quarters - start) // meter.beat_quarters
        place = Fraction(beat) * meter.beat_quarters
        if place != self._clicked:
            self._clicked = place
            first = place % meter.bar_quarters == 0
            self._synth.note_on(HIGH_BLOCK if first else LOW_BLOCK, CLICK_VELOCITY, PERCUSSION)


def _channel(line: int) -> int:
    """A channel for each line, percussion's left out."""
    return line if line < PERCUSSION else line + 1
