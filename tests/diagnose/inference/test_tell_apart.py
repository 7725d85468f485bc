"""Every two causes of one complaint can be told apart by something that can be found out.

A state tells two causes apart where it is at least twice as probable with one of them alone as with
the other alone, background included, and is seen with the likelier one in at least one case in ten.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from diagnose.findings.concluding import finding_inputs
from rules.loading.loader import load_pack
from rules.loading.pack_files import OFFROAD
from rules.rulebase import RuleBase

FACTOR = 2.0
SEEN = 0.1
# A check settles it where what it shows, other than nothing out of the ordinary, is mostly seen with
# the one and five times as often as with the other. Questions do not count as checks.
DECISIVE_FACTOR = 5.0
DECISIVE_SEEN = 0.7

Floats = NDArray[np.float64]
Options = Mapping[str, frozenset[str]]


@dataclass(frozen=True)
class Pair:
    """Two causes that can be on one machine and make one complaint."""

    one: str
    other: str
    machine: Options


class Separation:
    """What tells two causes of a pack apart."""

    def __init__(self, rules: RuleBase) -> None:
        self.rules = rules
        self.inputs = finding_inputs(rules)
        self.shown: dict[str, dict[str, Floats]] = {cause: {} for cause in rules.causes}
        self.background = {
            node.id: np.asarray(node.background, dtype=np.float64) for node in rules.nodes.values()
        }
        for link in rules.links:
            self.shown[link.cause][link.node] = self._with_background(link.node, link.chances)

    def _with_background(self, node: str, chances: tuple[float, ...]) -> Floats:
        """P(state) with one cause at work and the background: the more telling state is seen."""
        cumulative = np.cumsum(self.background[node]) * np.cumsum(chances)
        cumulative[-1] = 1.0
        return np.diff(cumulative, prepend=0.0)

    def pairs(self) -> Iterator[Pair]:
        """Every pair that shares a complaint and a machine."""
        complaints = {
            cause: {n for n in nodes if self.rules.nodes[n].kind == "complaint"}
            for cause, nodes in self.shown.items()
        }
        for one, other in itertools.combinations(self.rules.causes, 2):
            if complaints[one] & complaints[other]:
                machine = self._machine(one, other)
                if all(machine.values()):
                    yield Pair(one, other, machine)

    def _machine(self, *causes: str) -> Options:
        """The options of each trait that all the causes can have."""
        options = {trait: frozenset(t.options) for trait, t in self.rules.traits.items()}
        for cause in causes:
            for trait, wanted in self.rules.causes[cause].needs.items():
                options[trait] &= frozenset(wanted)
        return options

    def applies(self, node: str, machine: Options) -> bool:
        """Whether `node` can be found out on every machine with these options."""
        needs = [self.rules.observations[name].needs for name in self._read_for(node)]
        return all(
            machine[trait] <= set(wanted) for need in needs for trait, wanted in need.items()
        )

    def _read_for(self, node: str) -> list[str]:
        """The observations to be made for it: itself, or what a finding is drawn from."""
        finding = self.rules.findings.get(node)
        names: tuple[str, ...] = (node,)
        if finding is not None:
            computed = finding.computed
            names = tuple(computed.inputs.values()) if computed else self.inputs[node]
        return [name for name in names if name in self.rules.observations]

    def telling(self, pair: Pair, seen: float, factor: float, least: int = 0) -> list[str]:
        """Observations and findings with a state, from the `least` on, that tells the two apart."""
        nodes = {*self.shown[pair.one], *self.shown[pair.other]}
        return [
            node
            for node in sorted(nodes)
            if self.rules.nodes[node].kind != "complaint"
            and self._tells(node, pair, (seen, factor, least))
            and self.applies(node, pair.machine)
        ]

    def _tells(self, node: str, pair: Pair, measure: tuple[float, float, int]) -> bool:
        seen, factor, least = measure
        one = self.shown[pair.one].get(node, self.background[node])[least:]
        other = self.shown[pair.other].get(node, self.background[node])[least:]
        more, less = np.maximum(one, other), np.minimum(one, other)
        return bool(np.any((more >= seen) & (more >= factor * less)))

    def opens(self, node: str) -> bool:
        """Whether a fork or shock has to be opened for it."""
        return any(self.rules.observations[name].opens for name in self._read_for(node))

    def asked(self, node: str) -> bool:
        """Whether it is only asked of the rider."""
        entry = self.rules.observations.get(node)
        return entry is not None and entry.kind in {"history", "question"}

    def decisive(self, pair: Pair) -> list[str]:
        """Checks that settle it between the two."""
        nodes = self.telling(pair, DECISIVE_SEEN, DECISIVE_FACTOR, least=1)
        return [node for node in nodes if not self.asked(node)]

    def listed(self, pair: Pair) -> bool:
        """Whether either cause says it cannot be told from the other."""
        causes = self.rules.causes
        return (
            pair.other in causes[pair.one].not_separable_from
            or pair.one in causes[pair.other].not_separable_from
        )


@pytest.fixture(scope="module")
def separation() -> Separation:
    return Separation(load_pack(OFFROAD))


@pytest.fixture(scope="module")
def pairs(separation: Separation) -> list[Pair]:
    return list(separation.pairs())


def test_every_pair_is_told_apart_or_listed(
    separation: Separation, pairs: list[Pair], capsys: pytest.CaptureFixture[str]
) -> None:
    apart = {(p.one, p.other): separation.telling(p, SEEN, FACTOR) for p in pairs}
    listed = [p for p in pairs if separation.listed(p)]
    opened = [key for key, nodes in apart.items() if nodes and all(map(separation.opens, nodes))]
    only_asked = [
        key for key, nodes in apart.items() if nodes and all(map(separation.asked, nodes))
    ]
    with capsys.disabled():
        print(
            f"\ntold apart: {len(pairs)} pairs share a complaint; {len(listed)} are listed as not"
            f" separable, {len(only_asked)} are told apart by questions alone, {len(opened)} only by"
            f" opening fork or shock"
        )
        for one, other in opened:
            print(f"  only by opening: {one} / {other}")
    together = [
        (p.one, p.other) for p in pairs if not apart[(p.one, p.other)] and not separation.listed(p)
    ]
    assert not together
    assert len(pairs) > 1000


def test_most_pairs_have_a_check_that_settles_it(
    separation: Separation, pairs: list[Pair], capsys: pytest.CaptureFixture[str]
) -> None:
    """A stricter measure, printed: one check seen in 70 % with the one and five times the other."""
    settled = {(p.one, p.other): separation.decisive(p) for p in pairs}
    without = [key for key, nodes in settled.items() if not nodes]
    opened = [key for key, nodes in settled.items() if nodes and all(map(separation.opens, nodes))]
    with capsys.disabled():
        print(
            f"\nsettled by one check: {len(pairs) - len(without)} of {len(pairs)} pairs,"
            f" {len(opened)} of them only by opening fork or shock; not settled:"
        )
        for one, other in without:
            print(f"  {one} / {other}")
    assert len(without) <= 0.01 * len(pairs)
    assert len(opened) <= 0.01 * len(pairs)


def test_what_is_listed_as_not_separable_is_mutual_and_true(
    separation: Separation, pairs: list[Pair]
) -> None:
    causes = separation.rules.causes
    for name, cause in causes.items():
        for other in cause.not_separable_from:
            assert name in causes[other].not_separable_from, f"{other} does not list {name}"
    for pair in pairs:
        if separation.listed(pair):
            assert not separation.decisive(pair), f"{pair.one} / {pair.other} can be settled"


def test_a_finding_counts_only_where_all_its_readings_can_be_taken(separation: Separation) -> None:
    """A fork with separate functions has no second leg to count clicks on."""
    anything = {t: frozenset(e.options) for t, e in separation.rules.traits.items()}
    twin = {**anything, "fork": frozenset({"coil-closed"}), "electronics": frozenset({"none"})}
    split = {**twin, "fork": frozenset({"separate-function"})}
    assert separation.applies("fork-rebound-clickers-unequal", twin)
    assert not separation.applies("fork-rebound-clickers-unequal", split)
    assert not separation.applies("fork-rebound-clickers-unequal", anything)


def test_identical_causes_would_be_found_out(separation: Separation) -> None:
    """The measure sees two causes that show alike."""
    anything = {t: frozenset(e.options) for t, e in separation.rules.traits.items()}
    twins = Pair("head-bearing-loose", "head-bearing-loose", anything)
    assert separation.telling(twins, SEEN, FACTOR) == []
