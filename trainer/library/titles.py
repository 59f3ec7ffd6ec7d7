"""Invented titles: things of a tidal village, counted and placed. A number gives one title, and no two numbers give the same.

The numbers from 0 to ``COUNT`` - 1 are walked in large strides, so that neighbours have nothing in common. No title names a person, a
place on a map or a piece of music.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from trainer.score.model import Score

_THINGS = (
    "Anchor", "Anvil", "Apple Loft", "Barley Sack", "Barn Door", "Basket", "Beacon", "Bell Rope", "Bilge Pump", "Boat Hook",
    "Bollard", "Bread Oven", "Bridle", "Brine Tub", "Bucket", "Buoy", "Candle End", "Capstan", "Cart Wheel", "Cask",
    "Chain Locker", "Chimney", "Cider Press", "Clay Pipe", "Clothes Line", "Coal Scuttle", "Cork Float", "Crab Pot", "Creel",
    "Culvert", "Cutter", "Dovecote", "Drain Cover", "Duckboard", "Dyke", "Eel Trap", "Fence Post", "Ferry Steps", "Fire Bucket",
    "Fish Scale", "Flagstone", "Fog Horn", "Ford", "Furrow", "Gangplank", "Garden Wall", "Grindstone", "Gull", "Gutter", "Hawser",
    "Hay Cart", "Hen House", "Herring Net", "Hinge", "Honey Jar", "Horse Trough", "Ice House", "Inkwell", "Iron Ring", "Jetty",
    "Kelp Bed", "Key Ring", "Kiln", "Ladder", "Lamp Oil", "Lantern", "Lead Line", "Lighter", "Lime Kiln", "Loaf", "Lobster Pot",
    "Lock Gate", "Loom", "Mallet", "Marsh Gate", "Mason's Line", "Milestone", "Mill Race", "Mooring", "Mud Sledge", "Nail Box",
    "Net Loft", "Oar", "Oilskin", "Orchard", "Oyster Bed", "Paddle", "Pantry Shelf", "Peat Stack", "Pebble", "Pigeon Loft",
    "Pilot Light", "Plumb Line", "Pontoon", "Potting Shed", "Pump Handle", "Punt", "Quay", "Rain Barrel", "Reed Bed", "Rope Walk",
    "Rowlock", "Rudder", "Sail Loft", "Salt Pan", "Sand Bar", "Saw Pit", "Scythe", "Sea Gate", "Shingle Bank", "Shutter", "Sieve",
    "Signal Box", "Slate Roof", "Slipway", "Sluice", "Smokehouse", "Spade", "Staithe", "Stepping Stone", "Stove", "Tar Barrel",
    "Teapot", "Tide Gauge", "Tide Mill", "Tiller", "Tinder Box", "Toll House", "Towpath", "Turnip Field", "Twine", "Wagon Shed",
    "Wash House", "Water Butt", "Weather Vane", "Weir", "Wharf", "Wheelbarrow", "Whetstone", "Willow Bed", "Windlass",
    "Window Seat", "Winnowing Floor", "Wood Pile", "Wool Bale", "Yard Broom",
)  # fmt: skip

_FRAMES = (
    "{} at High Water", "{} at Slack Tide", "{} before Dawn", "{} by Lamplight", "{} in a Dry Spell", "{} in Fog",
    "{} after Rain", "{} on a Still Morning", "{}, Half Painted", "{} under Frost", "{} with the Wind Astern", "{}, Evening",
    "{} on Market Day", "{} between Showers", "Past the {}", "Behind the {}", "Moss on the {}", "A Moth on the {}",
    "Rust on the {}", "Salt on the {}", "The {} Left Behind", "The {} Comes Home", "The Neighbour's {}", "The Old {}",
    "The Second {}", "One {} Short", "{}, Windward Side", "{} and No Key", "{}, Last Coat", "{} in the Lee",
    "Three Miles to the {}", "Sparrows at the {}", "The {} at Noon", "The Borrowed {}", "Back by the {}", "{}, Neap Tide",
    "{} on the Turn", "Ice on the {}",
)  # fmt: skip

COUNT = len(_THINGS) * len(_FRAMES)
"""How many there are."""

_STRIDE = 3_429  # without a common factor with COUNT, so that the strides come to every number once


def title(number: int) -> str:
    """The title of a number; numbers that are equal but for whole rounds of COUNT have the same."""
    frame, thing = divmod(number * _STRIDE % COUNT, len(_THINGS))
    return _FRAMES[frame].format(_THINGS[thing])


def title_of(score: Score, taken: Collection[str] = ()) -> str:
    """The title that follows from the music itself, not one of *taken*: the same exercise is always called the same."""
    return next(titles(int(score.digest()[:12], 16) % COUNT, taken))


def titles(first: int, taken: Collection[str] = ()) -> Iterator[str]:
    """Titles from a number on, those in *taken* (in any capitals) left out; each at most once."""
    low = {one.lower() for one in taken}
    for number in range(first, first + COUNT):
        found = title(number)
        if found.lower() not in low:
            yield found
