"""Several singers on the pretend link, each at a microphone of their own, the clock turned by hand."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest
import quartet
import simulated_singer
import slips
import soundfile
from live_rig import RATE_HZ, SETTINGS, Rig, short_score
from session_rig import DELAY, Script, phase, singing_from

from audio.devices.fake import FakeSound
from audio.devices.side_by_side import Vanished
from trainer.live.desk import Desk
from trainer.live.performers.several import SeveralSingers
from trainer.live.session import Session
from trainer.live.wish import Wish
from trainer.places import places as own_places
from trainer.reports.look import Look
from trainer.score.naming import Names
from trainer.takes.judging import judge
from trainer.takes.keeping import open_store
from trainer.takes.together import HeardTogether
from trainer.ui.parts_lines import PartsLines
from trainer.ui.views import view

LINES = (0, 2)
CHANNELS = ("mic1", "mic3")


class Singing:
    """A session of soprano and tenor; the second microphone of the link has nobody."""

    def __init__(
        self, *faces_cues: object, microphone: np.ndarray | None = None, places=None, gone_from: int = 0, **wish: object
    ) -> None:
        self.gone_from = gone_from
        self.face = Script(*faces_cues)
        sound = np.zeros((1, 3), np.float32) if microphone is None else microphone
        self.link = FakeSound(sound, rate_hz=RATE_HZ, block_frames=480)
        asked = {"look_through_seconds": 0, "keep_sound": ""} | wish
        self.told: list[str] = []
        self.session = Session(
            self.link,
            Wish(asked.pop("score", short_score()), LINES[0], SETTINGS, Desk(0, muted=frozenset({2})), **asked),
            DELAY,
            self.face,
            wait=self._wait,
            places=places,
            tell=self.told.append,
            performer=SeveralSingers(self.link, LINES, CHANNELS, ("soprano", "tenor"), self._vanished),
        )

    def _wait(self, seconds: float) -> None:
        self.link.advance_seconds(seconds)
        assert self.link.write_until() < 120 * RATE_HZ, self.face.told.phase

    def _vanished(self) -> dict[str, Vanished]:
        """The tenor's microphone, once the clock is there; what it sends then is silence."""
        gone = 0 < self.gone_from <= self.link.write_until() - RATE_HZ
        return {"mic3": Vanished(self.gone_from, "Attic")} if gone else {}

    def run(self):
        return self.session.run()


@functools.cache
def nobody() -> Singing:
    """A session in which nobody sings."""
    trial = Singing()
    trial.run()
    return trial


def microphones(*, tenor_sings: bool = True) -> np.ndarray:
    """The soprano flat on her second note, the tenor a whole tone off on his third, each heard by the other's microphone."""
    laid = nobody().session._player.begun
    sounds: list[np.ndarray | None] = []
    for line in LINES:
        rig = Rig(line_index=line)
        sung = rig.as_written()
        sung = slips.detuned(sung, 1, -45) if line == 0 else slips.at_pitch(sung, 2, sung[2].midi - 2)
        at = (laid.music_frame + DELAY.frames) / RATE_HZ
        moved = tuple(slips.SungNote(n.index, n.start_s + at, n.end_s + at, n.midi) for n in sung)
        throat = simulated_singer.Throat("women" if line == 0 else "men", room_dbfs=-90)
        take = simulated_singer.sing(moved, seed=line + 40, seconds=laid.end_frame / RATE_HZ + 1, throat=throat)
        sounds.append(take.samples if line == 0 or tenor_sings else None)
    heard = quartet.side_by_side(sounds, seed=9, bleed_db=17.0, rt60_s=0.3)
    return np.stack([heard[:, 0], np.zeros(len(heard)), heard[:, 1]], axis=1).astype(np.float32)


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory):
    """A session in which both sang: itself, what it came to, and the home in which it was kept."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("HELDLINE_HOME", str(home))
        sung = Singing(
            (phase("done"), "quit"), microphone=microphones(), places=own_places(), keep_sound="kept", rounds="asked"
        )
        return sung, sung.run(), home


def signs(performance) -> list[list[str]]:
    return [[note.sign.value for note in take.notes] for take in performance.takes]


EXPECTED = [["held", "flat", "held", "held"], ["held", "held", "off", "held"]]


def test_each_singer_is_judged_at_the_own_microphone_and_the_kept_recording_gives_the_same_take(
    both, monkeypatch: pytest.MonkeyPatch
) -> None:
    sung, came, home = both
    monkeypatch.setenv("HELDLINE_HOME", str(home))
    assert sung.face.phases == ["tuning note", "count-in", "singing", "done"]
    assert signs(came.performances[0]) == EXPECTED
    assert all("neighbour is" in take.remarks[-1] for take in came.performances[0].takes)
    # what was shown beat by beat is each line's own
    assert [len(beats) for beats in sung.face.told.beats_of] == [8, 8]
    assert [beat.sign.value for beat in sung.face.told.beats_of[0]].count("flat") >= 1
    (kept,) = (home / "sound").iterdir()
    sound, _ = soundfile.read(kept)
    assert sound.shape[1] == 2
    with open_store(own_places(), print) as store:
        attempt = store.get(came.numbers[0])
    together = HeardTogether([(kept, 0), (kept, 1)])
    again = judge(short_score(), LINES, together.heard(), settings=attempt.settings)
    assert signs(again) == EXPECTED
    assert [[note.cents for note in take.notes] for take in again.takes] == [
        [note.cents for note in take.notes] for take in came.performances[0].takes
    ]


def test_whoever_does_not_sing_is_nothing_heard_beside_one_who_does() -> None:
    came = Singing(microphone=microphones(tenor_sings=False)).run()
    soprano, tenor = came.performances[0].takes
    assert soprano.status == "heard"
    assert tenor.status == "nothing heard"
    assert {note.sign.value for note in tenor.notes} <= {"silent", "unsure"}
    assert [note.sign.value for note in tenor.notes].count("silent") >= 3


def test_a_microphone_that_vanishes_is_said_and_its_singer_is_not_judged_from_there() -> None:
    begun = nobody().session._player.begun
    frame = begun.music_frame + DELAY.frames + (begun.end_frame - begun.music_frame) * 5 // 8  # the middle of bar 3
    sound = microphones()
    sound[frame:, 2] = 0.0
    called = tuple(str(bar.number + 4) for bar in short_score().bars().bars)
    sung = Singing(microphone=sound, gone_from=frame, score=replace(short_score(), printed_bars=called))
    soprano, tenor = sung.run().performances[0].takes
    assert [note.sign.value for note in soprano.notes] == EXPECTED[0]
    assert [note.sign.value for note in tenor.notes][:2] == EXPECTED[1][:2]
    assert [note.sign.value for note in tenor.notes][3] == "unsure"
    assert tenor.status == "incomplete"
    assert tenor.remarks[-1] == "Its microphone (Attic) vanished in bar 3 (printed 7): nothing was heard from there."
    assert "tenor: the microphone (Attic) has vanished, so nothing is heard; the others go on." in {
        state.warning for state in sung.face.states
    }
    said: list[str] = []
    lines = PartsLines(said.append, Names("degrees"))
    for state in sung.face.states:
        lines.show(state)
    (last,) = [line for line in said if line.startswith("Bar 4")]
    assert last == "Bar 4 (printed 8): soprano held; tenor nothing heard"
    assert soprano.status == "heard"


def test_a_microphone_that_was_gone_before_the_take_is_said_of_a_singer_who_was_not_heard() -> None:
    sound = microphones()
    sound[:, 2] = 0.0
    sung = Singing(microphone=sound, gone_from=1)
    tenor = sung.run().performances[0].takes[1]
    assert tenor.status == "nothing heard"
    assert "vanished before bar 1" in tenor.remarks[-1]


def test_the_keys_stop_pause_and_begin_again() -> None:
    sung = Singing((singing_from(1), "again"), (singing_from(2), "go"), (phase("done"), "quit"), rounds="asked")
    came = sung.run()
    assert sung.face.phases.count("count-in") == 2
    assert len(came.performances) == 1
    assert [take.status for take in came.performances[0].takes] == ["nothing heard"] * 2


def test_a_microphone_that_sends_only_zeros_is_named_by_its_singer() -> None:
    warned = {state.warning for state in nobody().face.states}
    assert any(words.startswith("soprano: The microphone sends perfect silence") for words in warned)


def test_the_screen_has_a_row_of_signs_a_voice_and_the_report_comes_first_as_a_whole(both) -> None:
    sung, _, _ = both
    states = [state for state in sung.face.states if state.phase == "singing"]
    for state in (states[0], states[len(states) // 2], states[-1], sung.face.told):
        lines = view(state, Look(80), 24, Names("degrees"))
        assert len(lines) == 24
        assert max(map(len, lines)) <= 80
    rows = view(states[-1], Look(80), 24, Names("degrees"))
    signs = {row.split()[0]: "".join(row.split()[1:]) for row in rows if row.startswith(("soprano ", "tenor "))}
    assert {name: len(found) for name, found in signs.items()} == {"soprano": 8, "tenor": 8}
    assert signs["soprano"][2:4] == "−−"
    done = view(sung.face.told, Look(80), 24, Names("degrees"))
    assert done[0].startswith("Short Ferry: soprano, tenor")
    assert any(row.startswith("Together:") for row in done)
    assert "guide" not in "\n".join(rows)


def test_in_lines_each_bar_is_told_once_it_is_over_for_everybody(both) -> None:
    said: list[str] = []
    lines = PartsLines(said.append, Names("degrees"))
    for state in both[0].face.states:
        lines.show(state)
    bars = [line for line in said if line.startswith("Bar ")]
    assert [line.split(":")[0] for line in bars] == [f"Bar {bar}" for bar in range(1, 5)]
    # the soprano's first note is the alto's and the bass's too, which sound: nobody knows yet that she sings
    assert bars[0] == "Bar 1: soprano unsure; tenor held"
    assert bars[1].startswith("Bar 2: soprano 4")
    assert bars[2] == "Bar 3: soprano held; tenor off, A3 heard"
    assert said[0].startswith("Short Ferry: soprano, tenor")
