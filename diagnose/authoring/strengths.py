"""The strengths a pack is written in, and what they come to as evidence in numbers.

A strength is one word per state of what a cause shows, or the prior of a cause.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.inference.confirming import is_check
from rules.loading.linking import MOST_CERTAIN
from rules.rulebase import Link, Node, RuleBase
from rules.written import Origin

MOST_PER_100 = 50.0
"""The most that a pack may say a prior is (see `rules.language.schema.Cause`)."""


@dataclass(frozen=True, slots=True)
class Strength:
    """One number that somebody chose.

    `shows` is what the cause shows, as written (`harsh` stands for every place), and `state` the
    state the word is about; both are empty for the cause's prior. `links` are those the word makes.
    """

    cause: str
    shows: str
    state: str
    word: str
    links: tuple[Link, ...] = ()

    @property
    def is_prior(self) -> bool:
        """Whether it is how often the cause is behind a bad ride at all."""
        return not self.shows


def strengths(rules: RuleBase) -> Iterator[Strength]:
    """Every strength of a pack, in its order: priors first, then the words of the links."""
    for key, cause in rules.causes.items():
        yield Strength(key, "", "", f"{cause.per_100:g} in 100")
    written: dict[tuple[str, str], list[Link]] = {}
    for link in rules.links:
        written.setdefault((link.cause, as_written(rules, link)), []).append(link)
    for (name, shows), links in written.items():
        for state, word in links[0].words.items():
            yield Strength(name, shows, state, word, tuple(links))


def as_written(rules: RuleBase, link: Link) -> str:
    """What the cause is said to show: `harsh` where that stands for every place."""
    complaint = link.node.partition("/")[0]
    own = rules.causes[link.cause].shows
    return complaint if link.node not in own and complaint in own else link.node


def link_origin(rules: RuleBase, link: Link) -> Origin:
    """Where a link was written: beside its cause, or beside the finding it leads to."""
    shows = as_written(rules, link)
    if shows in rules.causes[link.cause].shows:
        return rules.origin("causes", link.cause, "shows", shows)
    return rules.origin("findings", link.node, "shown_by", link.cause)


def moved(rules: RuleBase, link: Link, steps: Mapping[str, int]) -> Link:
    """The link with the word of each state so many words further up the scale, as the loader would
    read it; a word at the end of the scale stays there."""
    scale = list(rules.scale.words)
    states = rules.nodes[link.node].states
    numbers = [0.0] * len(states)
    words = {}
    for state, word in link.words.items():
        place = min(max(scale.index(word) + steps.get(state, 0), 0), len(scale) - 1)
        words[state] = scale[place]
        numbers[states.index(state)] = rules.scale.number(scale[place])
    total = sum(numbers)
    if total > MOST_CERTAIN:
        numbers = [number * MOST_CERTAIN / total for number in numbers]
    numbers[0] = 1.0 - sum(numbers)
    return Link(link.cause, link.node, tuple(numbers), words, link.source)


def next_word(rules: RuleBase, word: str, step: int) -> str | None:
    """The word `step` further up the scale, or None where the scale ends."""
    scale = list(rules.scale.words)
    place = scale.index(word) + step
    return scale[place] if 0 <= place < len(scale) else None


@dataclass(frozen=True, slots=True)
class StateSupport:
    """One state. `shown` is how likely the cause alone gives it, `anyway` how often it is seen
    without the cause, and `factor` how many times as often it is seen with the cause, background
    and all, as without (the likelihood ratio)."""

    state: str
    word: str
    shown: float
    anyway: float
    factor: float


@dataclass(frozen=True, slots=True)
class Support:
    """A link as evidence. `absent` is the likelihood ratio of the normal state; `confirms` says
    whether seeing it can confirm the cause, `sources` what shows the link."""

    node: str
    states: tuple[StateSupport, ...]
    absent: float
    confirms: bool
    origin: Origin
    sources: tuple[str, ...]


def supports(rules: RuleBase, cause: str) -> list[Support]:
    """Every link of a cause, in the order of the pack."""
    return [
        _support(rules, rules.nodes[link.node], link) for link in rules.links if link.cause == cause
    ]


def _support(rules: RuleBase, node: Node, link: Link) -> Support:
    with_it = seen_with(node, link.chances)
    states = tuple(
        StateSupport(
            state,
            word,
            link.chances[node.index(state)],
            node.background[node.index(state)],
            with_it[node.index(state)] / node.background[node.index(state)],
        )
        for state, word in link.words.items()
    )
    absent = with_it[0] / node.background[0]
    return Support(
        node.id, states, absent, is_check(node, link), link_origin(rules, link), link.source
    )


def seen_with(node: Node, shown: tuple[float, ...]) -> tuple[float, ...]:
    """Probability of each state with the cause there and the background as ever: the more telling
    of the two is seen, so their P(state <= k) multiply (noisy-MAX)."""
    below_shown = below_seen = before = 0.0
    states = []
    for one, other in zip(shown, node.background, strict=True):
        below_shown += one
        below_seen += other
        states.append(below_shown * below_seen - before)
        before = below_shown * below_seen
    return tuple(states)
