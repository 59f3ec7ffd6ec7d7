"""Our own loudspeaker taken away from the microphone.

We know every sample that we play. ``learn`` finds the room between what was played and what was heard, as an ``EchoPath``;
``stage.Canceller`` takes our own sound away as it comes and tells how much of it is left; ``tracking.CancellingTracker`` is a pitch
tracker that hears what is left, and calls a frame voiced only where it holds more than our own leavings.
"""
