"""What whoever asks can find out and can do.

The chance of an answer begins at what the pack says of such people and is learned within the case:
a Beta whose mean is the pack's figure and whose weight is `PRIOR_ANSWERS` answers (standard
conjugate update). A tool that was not there once is not there for other checks either.
"""

from __future__ import annotations

from collections import Counter
from functools import cached_property

from diagnose.case.events import Standing
from rules.language.schema import Observation, Way
from rules.rulebase import RuleBase

PRIOR_ANSWERS = 4.0
"""So many answers the pack's chance of one is worth (our own choice)."""
OUT_OF_REACH = 0.05
"""What is less likely to be answered than this is not asked (our own choice)."""


class Means:
    """The means of the person that `now` names, or of the first kind of person in the pack."""

    def __init__(self, rules: RuleBase, now: Standing) -> None:
        self._rules, self._now = rules, now
        self.person = rules.policy.person(now.person)
        self.minutes_to_hand_over = rules.policy.minutes_to_hand_over(now.person)
        self._chances: dict[str, float] = {}

    def chance(self, observation: str) -> float:
        """The chance that an observation is answered when it is asked for."""
        if observation not in self._chances:
            self._chances[observation] = self._chance(observation)
        return self._chances[observation]

    def _chance(self, observation: str) -> float:
        entry = self._rules.observations[observation]
        way = entry.way
        stated = self.person.answers.get(way, 1.0)
        known, unknown = self._answered[way, True], self._answered[way, False]
        chance = (PRIOR_ANSWERS * stated + known) / (PRIOR_ANSWERS + known + unknown)
        if way != "memory" and self._missing_tools.intersection(entry.tools):
            chance = min(chance, OUT_OF_REACH / 2)
        return chance if stated < 1 else 1.0

    def does(self, correction: str) -> bool:
        """Whether a correction can be done by this person and has not been declined."""
        if correction in self._now.declined:
            return False
        entry = self._rules.corrections[correction]
        match self.person.does:
            case "settings":
                return entry.setting
            case "home-work":
                return entry.who == "home mechanic"
            case "anything":
                return True

    @cached_property
    def _answered(self) -> Counter[tuple[Way, bool]]:
        """How many observations of each way of knowing were answered, and were not."""
        return Counter(
            (entry.way, answer.is_known)
            for name, answer in self._now.answers.items()
            if (entry := self._entry(name)) is not None
        )

    @cached_property
    def _missing_tools(self) -> frozenset[str]:
        return frozenset(
            tool
            for name, answer in self._now.answers.items()
            if answer.cannot_here and (entry := self._entry(name)) is not None
            for tool in entry.tools
        )

    def _entry(self, name: str) -> Observation | None:
        return self._rules.observations.get(name)
