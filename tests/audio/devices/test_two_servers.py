"""A microphone on one server and a loudspeaker on another: two hosts, two rates, two clocks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import servers
from real_links import cents_of, heard_for, joined, on_one_axis, save, tone

from audio.devices import SoundWish, open_sound


def test_a_microphone_of_pulse_and_a_loudspeaker_of_jack_are_one_link(
    there: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    recording = save(tmp_path / "sung.wav", tone(440 * 2 ** (30 / 1200), 6.0))
    with servers.pulse() as pulse, servers.jack(rate_hz=44_100) as jack:
        servers.reach(pulse, monkeypatch)
        for name in ("JACK_DEFAULT_SERVER", "JACK_NO_START_SERVER", "JACK_NO_AUDIO_RESERVATION"):
            monkeypatch.setenv(name, jack.env[name])
        wish = SoundWish(input_name="heldline_mic", output_name="system")
        with open_sound(wish) as link, servers.sung_through_pulse(pulse, recording):
            assert (link.input_name, link.output_name, link.rate_hz) == ("heldline_mic", "system", 44_100)
            link.play(link.write_until() + 4_410, np.full((100_000, 2), 0.01, np.float32))
            blocks = heard_for(link, 2.0)
            pulse.kill()  # the microphone's server alone: the link is gone all the same
            while link.alive:
                link.read()
    assert on_one_axis(blocks)
    _, heard = joined(blocks, "mic1")
    assert abs(cents_of(heard[-22_050:], 440.0, 44_100) - 30) < 1.5  # the way into step may be half a cent
    assert float(joined(blocks, "played1")[1].max()) == pytest.approx(0.01)
    assert "vanished" in link.trouble or "ended" in link.trouble or "closed" in link.trouble
