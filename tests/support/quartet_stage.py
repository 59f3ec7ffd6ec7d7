"""Four singers in processes of their own on JACK, each at a microphone that hears the others too."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import quartet
import servers
import simulated_singer
import slips
import soundfile
from live_stage import MUSIC_AT_S, QPM, RATE_HZ, Stage

from trainer.library import resolve
from trainer.score.change import cut

SCORE, BARS = "Ferry Bell at Low Water", (1, 5)
COUNT_S = 4 * 60 / QPM
VOICES = ("soprano", "alto", "tenor", "bass")
LINES = ",".join(f"{voice}={number}" for number, voice in enumerate(VOICES, start=1))
BLEED_DB = 18.0


def written(line: int, bars: tuple[int, int] = BARS, qpm: float = QPM) -> slips.Performance:
    second = 60 / qpm
    return tuple(
        slips.SungNote(
            k, MUSIC_AT_S + float(n.onset_quarters) * second, MUSIC_AT_S + float(n.end_quarters) * second, n.pitch.midi
        )
        for k, n in enumerate(cut(resolve(SCORE), *bars).lines[line].notes)
    )


def planted() -> list[slips.Performance]:
    """The soprano flat in bar 2, the alto pulled to the soprano in 3 and 4, the tenor silent in 5, the bass a third off in 2."""
    soprano, alto, tenor, bass = (written(line) for line in range(4))
    for index in (2, 3):
        alto = slips.at_pitch(alto, index, soprano[index].midi)
    return [slips.detuned(soprano, 1, -45), alto, slips.missing(tenor, 4), slips.at_pitch(bass, 1, 41.0)]


EXPECTED = {
    "soprano": ["held", "flat", "held", "held", "held"],
    "alto": ["held", "held", "pulled", "pulled", "held"],
    "tenor": ["held", "held", "held", "held", "silent"],
    "bass": ["held", "off", "held", "held", "held"],
}


def recorded(folder: Path, performances: list[slips.Performance]) -> list[Path]:
    """What each microphone hears of all four, the music a little after the beginning."""
    seconds = max(note.end_s for sung in performances for note in sung) + 1.0
    sounds = [
        simulated_singer.sing(
            sung,
            seed=20 + k,
            seconds=seconds,
            throat=simulated_singer.Throat("women" if k < 2 else "men", room_dbfs=-90),
        ).samples
        for k, sung in enumerate(performances)
    ]
    heard = quartet.side_by_side(sounds, seed=3, bleed_db=BLEED_DB, rt60_s=0.4)
    paths = [folder / f"{voice}.wav" for voice in VOICES]
    for k, path in enumerate(paths):
        soundfile.write(path, heard[:, k].astype(np.float32), RATE_HZ, subtype="FLOAT")
    return paths


def joined(stage: Stage) -> None:
    """heldline, which came after the singers, hears each of them and is heard by all."""
    heldline = f"PortAudio-{len(VOICES):02}"
    until = time.monotonic() + 40
    last = f"{heldline}:in_{len(VOICES) - 1}"
    while not servers.ports(stage.server, last) or not servers.ports(stage.server, f"{heldline}:out_0"):
        assert time.monotonic() < until, servers.ports(stage.server)
        time.sleep(0.02)
    singers = ["PortAudio" if k == 0 else f"PortAudio-{k:02}" for k in range(len(VOICES))]
    ears = [(f"{heldline}:out_0", f"{singer}:in_0") for singer in singers]
    mouths = [(f"{singer}:out_0", f"{heldline}:in_{k}") for k, singer in enumerate(singers)]
    for pairs in (ears, mouths):  # ears first: whoever misses the first click of the count does not sing
        # at once: one after the other they take seconds on a busy machine
        asked = [(pair, stage.server.begin("jack_connect", *pair)) for pair in pairs]
        for pair, one in asked:
            one.communicate(timeout=20)
            if one.returncode:
                servers.join(stage.server, *pair)
