"""Which rate, and the opening itself. Lives in the child process; sounddevice is handed in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from audio.devices._callback import Callbacks, Shape
from audio.devices._choice import Device, Refused
from audio.devices._rings import HIGHEST_RATE_HZ

RATES_HZ = (48_000, 44_100, 32_000, 96_000, 16_000, 8_000)
BLOCK_FRAMES = 512
BUFFER_SECONDS = 0.1
"""What each direction may buffer where nothing else is asked for: a program held up for 0.1 s is then not heard. With 0.06 s it was, each
time (PulseAudio 16, tests/audio/devices/test_stalls.py by hand). A singer's delay is subtracted, so it costs her nothing."""


def opened(
    sounddevice: Any,
    devices: tuple[Device | None, Device | None],
    order: dict[str, Any],
    callbacks_for: Callable[[Shape], Callbacks],
) -> tuple[Callbacks, list[Any], dict[str, Any]]:
    """The callbacks, the running streams and what to tell the parent. Raises Refused."""
    heard, sounding = devices
    errors: list[str] = []
    if heard is None or sounding is None or heard.host == sounding.host:
        for rate_hz in rates(order["rate_hz"], heard, sounding):
            found = _one_stream(sounddevice, devices, order, callbacks_for, rate_hz, errors)
            if found is not None:
                return found
    if heard is not None and sounding is not None:
        found = _two_streams(sounddevice, heard, sounding, order, callbacks_for, errors)
        if found is not None:
            return found
    raise Refused("refused", errors[0] if errors else "it cannot be opened", names=[d.name for d in devices if d])


def rates(wanted: int | None, *devices: Device | None) -> list[int]:
    """Rates to try, in order: the wanted one, 48 kHz where the driver converts, what the devices prefer, the usual ones."""
    own = [device.rate_hz for device in reversed(devices) if device is not None and device.rate_hz <= HIGHEST_RATE_HZ]
    converts = any(device is not None and device.host == "ALSA" for device in devices)
    row = ([wanted] if wanted else []) + ([48_000] if converts else []) + own + list(RATES_HZ)
    return list(dict.fromkeys(row))


def _shape(order: dict[str, Any], rate_hz: int, input_rate_hz: int) -> Shape:
    return Shape(
        rate_hz,
        input_rate_hz,
        order["channels_in"],
        order["channels_out"],
        10.0 ** (order["ceiling_dbfs"] / 20.0),
        round(order["fade_in_seconds"] * rate_hz),
    )


def _one_stream(
    sounddevice: Any,
    devices: tuple[Device | None, Device | None],
    order: dict[str, Any],
    callbacks_for: Callable[[Shape], Callbacks],
    rate_hz: int,
    errors: list[str],
) -> tuple[Callbacks, list[Any], dict[str, Any]] | None:
    heard, sounding = devices
    callbacks = callbacks_for(_shape(order, rate_hz, rate_hz))
    kind: Any
    call: Any
    if heard is not None and sounding is not None:
        kind, call = sounddevice.Stream, callbacks.both
    elif sounding is not None:
        kind, call = sounddevice.OutputStream, callbacks.sound_out
    else:
        kind, call = sounddevice.InputStream, callbacks.sound_in_alone
    for channels in _channel_choices(heard, sounding, order):
        stream = _started(sounddevice, kind, call, devices, channels, rate_hz, order, errors)
        if stream is not None:
            return callbacks, [stream], _told(devices, rate_hz, rate_hz, [stream])
    return None


def _two_streams(
    sounddevice: Any,
    heard: Device,
    sounding: Device,
    order: dict[str, Any],
    callbacks_for: Callable[[Shape], Callbacks],
    errors: list[str],
) -> tuple[Callbacks, list[Any], dict[str, Any]] | None:
    """Each direction at its own rate; the parent brings the clocks together."""
    for rate_hz in rates(order["rate_hz"], sounding):
        for input_rate_hz in rates(None, heard):
            callbacks = callbacks_for(_shape(order, rate_hz, input_rate_hz))
            ear = None
            for channels in _channel_choices(heard, None, order):
                ear = ear or _started(
                    sounddevice, sounddevice.InputStream, callbacks.sound_in_beside, (heard, None), channels,
                    input_rate_hz, order, errors,
                )  # fmt: skip
            if ear is None:
                continue
            for channels in _channel_choices(None, sounding, order):
                mouth = _started(
                    sounddevice, sounddevice.OutputStream, callbacks.sound_out, (None, sounding), channels,
                    rate_hz, order, errors,
                )  # fmt: skip
                if mouth is not None:
                    told = _told((heard, sounding), rate_hz, input_rate_hz, [mouth, ear])
                    return callbacks, [ear, mouth], told
            ear.abort()
            ear.close()
            break
    return None


def _channel_choices(heard: Device | None, sounding: Device | None, order: dict[str, Any]) -> list[tuple[int, int]]:
    """What to ask for: what is wanted, then what such devices insist on having."""
    ins = [0] if heard is None else [order["channels_in"], 2, heard.channels]
    outs = [0] if sounding is None else [order["channels_out"], 2, sounding.channels, 1]
    pairs = [
        (count_in, count_out)
        for count_out in dict.fromkeys(outs)
        for count_in in dict.fromkeys(ins)
        if (heard is None or order["channels_in"] <= count_in <= heard.channels)
        and (sounding is None or 0 < count_out <= sounding.channels)
    ]
    if not pairs:
        raise Refused(
            "refused",
            f"it has {heard.channels if heard else 0} inputs and {order['channels_in']} are wanted",
            names=[device.name for device in (heard, sounding) if device],
        )
    return pairs


def _started(
    sounddevice: Any,
    kind: Any,
    call: Any,
    devices: tuple[Device | None, Device | None],
    channels: tuple[int, int],
    rate_hz: int,
    order: dict[str, Any],
    errors: list[str],
) -> Any:
    """A running stream, or None with the reason added to *errors*."""
    jack = any(device is not None and device.host.startswith("JACK") for device in devices)
    latency = order["latency_seconds"] or ("low" if jack else BUFFER_SECONDS)
    block = order["block_frames"] or (0 if jack else BLOCK_FRAMES)
    indexes = tuple(None if device is None else device.index for device in devices)
    one = 0 if devices[1] is None else 1
    duplex = None not in devices
    try:
        stream = kind(
            device=indexes if duplex else indexes[one],
            channels=channels if duplex else channels[one],
            samplerate=rate_hz,
            blocksize=block,
            latency=latency,
            dtype="float32",
            callback=call,
            clip_off=True,
            dither_off=True,
        )
    except (sounddevice.PortAudioError, ValueError) as err:
        errors.append(str(err))
        return None
    try:
        stream.start()
    except sounddevice.PortAudioError as err:
        errors.append(str(err))
        stream.close()
        return None
    return stream


def _told(
    devices: tuple[Device | None, Device | None], rate_hz: int, input_rate_hz: int, streams: list[Any]
) -> dict[str, Any]:
    heard, sounding = devices
    return {
        "input_name": heard.name if heard else "",
        "output_name": sounding.name if sounding else "",
        "input_host": heard.host if heard else "",
        "output_host": sounding.host if sounding else "",
        "rate_hz": rate_hz,
        "input_rate_hz": input_rate_hz,
        "streams": len(streams),
    }
