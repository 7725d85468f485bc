"""Ticks and readings given on the check-in page, as events; with the keys that stand for them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from string import ascii_lowercase

from diagnose.advice.check_in import CheckIn
from diagnose.case.events import Answered, read_answer
from rules.rulebase import RuleBase
from rules.units.quantities import with_unit

# h helps, q, r and u have a meaning of their own everywhere
_KEYS = [c for c in ascii_lowercase if c not in "hqru"]
_SINCE_KEYS = _KEYS[:8]
_SHOWS_KEYS = _KEYS[8:]
NONE_SINCE, NONE_SHOWS = "0", "9"

UNKNOWN = "not known"
_SAYS_UNKNOWN = frozenset({"?", UNKNOWN, "dunno", "don't know", "dont know", "no idea", "unknown"})


def read_or_unknown(rules: RuleBase, name: str, text: str, unit: str) -> Answered:
    """What was typed as a reading, where a number alone is in `unit`; also that it is not known.
    Raises `BadInput`."""
    if text.strip().lower() in _SAYS_UNKNOWN:
        return Answered(name)
    return read_answer(rules, name, with_unit(text, unit))


@dataclass
class Ticks:
    """What was ticked so far. `said` holds what was answered before: it is shown, and only a
    reading is changed."""

    page: CheckIn
    said: Mapping[str, Answered]
    yes: set[str] = field(default_factory=set)
    no_more: set[str] = field(default_factory=set)
    """`0` and `9`: the lists of which nothing else is so."""
    readings: dict[str, Answered] = field(default_factory=dict)
    _keys_before: dict[str, str] = field(default_factory=dict)

    @property
    def lists(self) -> tuple[tuple[str, dict[str, str]], ...]:
        """For both lists: the key of none of the others, and the observation under each key."""
        return (
            (NONE_SINCE, self._under_keys(_SINCE_KEYS, self.page.since)),
            (NONE_SHOWS, self._under_keys(_SHOWS_KEYS, self.page.shows)),
        )

    def _under_keys(self, keys: Sequence[str], names: Sequence[str]) -> dict[str, str]:
        """A row keeps the key that it had before; the others take the keys that are free."""
        had = {self._keys_before[name]: name for name in names if name in self._keys_before}
        free = (key for key in keys if key not in had)
        new = (name for name in names if name not in self._keys_before)
        found = {**had, **dict(zip(free, new, strict=False))}
        return {key: found[key] for key in keys if key in found}

    @property
    def keys(self) -> dict[str, str]:
        """The observation under each key of both lists."""
        return {key: name for _, keys in self.lists for key, name in keys.items()}

    def can(self, key: str) -> bool:
        """Whether a key ticks something, or says that nothing else in a list is so."""
        return key in self.keys or any(key == none and keys for none, keys in self.lists)

    def press(self, key: str) -> None:
        """Tick what a key stands for, or take the tick away; what was said before stays."""
        if key in (NONE_SINCE, NONE_SHOWS):
            self.no_more ^= {key}
        elif self.keys[key] not in self.said:
            self.yes ^= {self.keys[key]}

    def state(self, observation: str) -> str:
        """`yes`, `no`, or empty where nothing is said of it, or that it is not known."""
        if observation in self.said:
            return self.said[observation].state or ""
        if observation in self.yes:
            return "yes"
        for none, keys in self.lists:
            if none in self.no_more and observation in keys.values():
                return "no"
        return ""

    @property
    def events(self) -> tuple[Answered, ...]:
        """An answer for each thing ticked or ruled out, then the readings."""
        new = [name for name in self.keys.values() if name not in self.said]
        ticked = [Answered(name, self.state(name)) for name in new if self.state(name)]
        return (*ticked, *self._given(self.page.readings))

    def take_over(self, earlier: Ticks) -> None:
        """Take over what was ticked and read on the page as it was before, and its keys."""
        self._keys_before = {name: key for key, name in earlier.keys.items()}
        names = set(self.keys.values())
        self.yes = (earlier.yes & names) - self.said.keys()
        self.no_more = {none for none in earlier.no_more if self.can(none)}
        self.readings = {n: a for n, a in earlier.readings.items() if n in self.page.readings}

    def _given(self, names: Iterable[str]) -> Iterable[Answered]:
        return (
            self.readings[name]
            for name in names
            if name in self.readings and self.readings[name] != self.said.get(name)
        )

    def reading(self, name: str) -> Answered | None:
        """What was read on the page, or said before it; None for neither."""
        return self.readings.get(name, self.said.get(name))
