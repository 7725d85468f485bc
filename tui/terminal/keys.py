"""The one map of keys: what each letter does, on every screen and line by line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Key:
    """What a key does wherever it does anything, and the names that it has where it does that."""

    act: str
    names: tuple[str, ...]

    @property
    def name(self) -> str:
        """Its usual name."""
        return self.names[0]


KEYS: Mapping[str, Key] = {
    "a": Key("add another", ("Add", "Add me", "Add ride", "Practise")),
    "b": Key("the bike", ("Bike", "Pick")),
    "c": Key("cases", ("Cases", "Alike", "Reviews")),
    "d": Key("the drawing", ("Drawing",)),
    "e": Key(
        "change what was said or set",
        ("Change", "Edit", "Name", "Fill in", "Coach", "Ground", "Who asks"),
    ),
    "f": Key("it is done", ("Done", "Do it", "Service", "Close", "Give back", "Sign off")),
    "g": Key("go on, or begin", ("Go on", "Begin", "Next", "Ride")),
    "h": Key("help", ("Help",)),
    "i": Key("the check that settles most", ("Settling check",)),
    "j": Key("a note", ("Note",)),
    "k": Key("the job card", ("Job card", "Examples", "Notebook", "Progress", "Year")),
    "l": Key("learn", ("Learn",)),
    "m": Key("the most likely now", ("Best guess",)),
    "n": Key("no", ("No", "Not read")),
    "o": Key("a file", ("Open", "Write", "From file", "To a file")),
    "p": Key("the plan", ("Plan",)),
    "q": Key("quit", ("Quit",)),
    "r": Key("a reading or fact", ("Reading", "Setting", "Manual")),
    "s": Key("the sheet", ("Sheet", "Pre-ride")),
    "t": Key("tyre or damping", ("Tyre?",)),
    "u": Key("take the last one back", ("Undo", "Take back")),
    "v": Key("cautions in full", ("Cautions",)),
    "w": Key("why, and how", ("Why", "How", "Review", "Words")),
    "x": Key("can't do it here", ("Can't", "Hand over")),
    "y": Key("yes", ("Yes", "Keep")),
    "z": Key("strike out or put away", ("Strike out", "None", "Put away", "Put away too", "Clear")),
    "?": Key("don't know", ("Don't know", "Complaints", "Hint")),
}
"""A letter that stands before a row, or a figure, picks that row, and only there."""
