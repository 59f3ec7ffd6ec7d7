"""A take while it happens: what sounds, what is heard, and the loop between them. No device is opened here; a link is handed in.

Frames are the only clock. A *played frame* counts on the link's axis at the link's rate; what the singer sang to it lies a round
trip later on the microphone's channel; a take's own frames count at ``audio.units.RATE_HZ`` from where the take begins.
"""
