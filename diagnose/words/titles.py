"""What entries of the rule base are called, whole or short, and how a title joins a sentence."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from rules.rulebase import RuleBase

_SHORTEST = 12
_BREAK = re.compile(r",| \(|:")

_DONE = (
    (re.compile(r"\w+(?: ridden)? since (?:the )?(.+) (?:was|were) last (.+)"), r"\1 \2"),
    (re.compile(r"(?:Age of|\w+ since) (?:the )?(.+?)(?: was new)?"), r"\1 renewed"),
)


def lowered(title: str) -> str:
    """A title as it stands within a sentence: its first letter small."""
    return title[:1].lower() + title[1:]


def sentence(text: str) -> str:
    """`text` with a capital; a colon ends it unless it is a question or a sentence already."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith(("?", ":", ".")) else f"{text}:"


def setting_title(rules: RuleBase, observation: str) -> str:
    """The words of an observation, or its id where this rule base does not know it."""
    entry = rules.observations.get(observation)
    return observation if entry is None else entry.ask[:1].upper() + entry.ask[1:]


def done_title(rules: RuleBase, clock: str) -> str:
    """The service from which a clock counts, as what was done: `Fork oil changed`; the words of the
    clock where they do not say it in one of the usual ways."""
    title = setting_title(rules, clock)
    for pattern, words in _DONE:
        found = pattern.fullmatch(title)
        if found is not None:
            done = found.expand(words)
            return done[:1].upper() + done[1:]
    return title


def clock_title(rules: RuleBase, clock: str) -> str:
    """What people call the service that a clock counts from, else the words of its observation."""
    entry = rules.observations.get(clock)
    if entry is None or entry.clock is None:
        return setting_title(rules, clock).rstrip("?")
    name = entry.clock.called[0]
    return name[:1].upper() + name[1:]


def short_titles(rules: RuleBase, observations: Iterable[str]) -> dict[str, str]:
    """The words of each up to their first break, if nothing else begins with the same ones."""
    alike = Counter(_cut(setting_title(rules, name)) for name in rules.observations)
    titles = {name: setting_title(rules, name) for name in observations}
    return {n: _cut(title) if alike[_cut(title)] == 1 else title for n, title in titles.items()}


def _cut(title: str) -> str:
    found = _BREAK.search(title, _SHORTEST)
    return title if found is None else title[: found.start()]
