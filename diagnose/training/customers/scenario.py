"""Cases for trainees: drawn by seed, level and theme, or taken from a pack's worked cases.

The same seed gives the same case on every computer: nothing but `Dice`, the order of the pack's
files and products of the pack's own numbers decide.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from diagnose.case.events import Answered, Case, Complained, Corrected, machine_traits, standing
from diagnose.case.files import WorkedCase
from diagnose.inference.confirming import is_check
from diagnose.simulation.agreeing import agreeing
from diagnose.simulation.chance import Dice
from diagnose.simulation.simulated_bike import GivenFacts, SimulatedBike, Truth, applies
from diagnose.training.customers.guide import Guide, causes_of, theme_named
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from rules.yaml_source import suggest

Level = Literal["single", "two-causes", "misleading", "not-suspension"]
LEVELS: tuple[Level, ...] = get_args(Level)
LEVEL_WORDS: Mapping[Level, str] = {
    "single": "one obvious cause",
    "two-causes": "two causes at once",
    "misleading": "a misleading complaint",
    "not-suspension": "not the suspension at all",
}
WORKED = "worked"
LIKE = "like"

_MOST_DRAWS = 20_000
# an obvious cause is among this many likeliest for its complaint; a misleading one is not
_OBVIOUS = 3
# and has a check from outside of at most this many minutes
_QUICK = 5.0


@dataclass(frozen=True, slots=True)
class Scenario:
    """A case before it begins: its truth, its bike and its customer.

    `bike_seed` and `known` make the bike; `told` lists what the customer says unasked.
    `story` gives the answer away and is for afterwards.
    """

    id: str
    seed: int
    level: Level | None
    theme: str | None
    truth: Truth
    complaints: tuple[Complained, ...]
    bike_seed: int
    known: GivenFacts
    told: tuple[str, ...]
    rider: str
    title: str = ""
    story: str = ""
    teaches: str = ""

    @property
    def targets(self) -> Mapping[str, Quantity]:
        """Figures from the bike's manual."""
        return self.known.targets

    @property
    def given(self) -> Mapping[str, Answered]:
        """The answers that are given in writing, by observation."""
        return self.known.answers

    def bike(self, rules: RuleBase) -> SimulatedBike:
        """The bike as it stands when the customer walks in."""
        return SimulatedBike(rules, self.truth, self.bike_seed, self.known)


def scenario_id(seed: int, level: Level | None = None, theme: str | None = None) -> str:
    """`7`, `7:single`, `7:single:tyres` or `7::tyres`."""
    return ":".join([str(seed), level or "", theme or ""]).rstrip(":")


def like_id(complaint: str, count: int, seed: int) -> str:
    """The id of a case drawn by seed that begins with this complaint and has so many causes."""
    return f"{LIKE}:{complaint}:{count}:{seed}"


def scenario_named(
    rules: RuleBase, guide: Guide, name: str, worked: Sequence[WorkedCase] = ()
) -> Scenario:
    """The scenario with this id. Raises `BadInput`."""
    first, _, rest = name.partition(":")
    if first == WORKED:
        for case in worked:
            if case.name == rest:
                return worked_scenario(rules, guide, case)
        raise BadInput(f"{rest!r} is not a worked case{suggest(rest, [c.name for c in worked])}")
    if first == LIKE:
        complaint, count, seed = rest.rsplit(":", 2)
        return draw_scenario(rules, guide, int(seed), like=(complaint, int(count)))
    level, _, theme = rest.partition(":")
    if not first.isdigit():
        raise BadInput(f"{name!r} names no case; write a seed, as in 7, 7:single or 7:single:tyres")
    return draw_scenario(rules, guide, int(first), level_named(level), theme or None)


def level_named(name: str) -> Level | None:
    """A level, or None for an empty name. Raises `BadInput`."""
    for level in LEVELS:
        if level == name:
            return level
    if name:
        known = ", ".join(LEVELS)
        raise BadInput(f"{name!r} is not a level{suggest(name, LEVELS)}; there are {known}")
    return None


def worked_scenario(rules: RuleBase, guide: Guide, worked: WorkedCase) -> Scenario:
    """A worked case to be played: what it says is answered as written, the rest is drawn."""
    before = []
    for event in worked.case.events:
        if isinstance(event, Corrected):
            break
        before.append(event)
    now = standing(Case(worked.case.machine, worked.case.targets, tuple(before)))
    answers = {name: answer for name, answer in now.answers.items() if answer.is_known}
    first, *also = now.complaints
    truth = Truth(worked.truth, first, machine_traits(rules, worked.case), tuple(also))
    seed = zlib.crc32(worked.name.encode())
    known = GivenFacts(answers, worked.case.targets, guide.instruments)
    dice = Dice(seed, "customer")
    bike_seed = _all_behind(rules, truth, dice)
    while not _tells_what_is_so(rules, truth, bike_seed):
        bike_seed = _all_behind(rules, truth, dice)
    history = [
        name
        for name, answer in answers.items()
        if rules.observations[name].kind == "history" and _happened(rules, answer)
    ]
    known = agreeing(rules, truth, bike_seed, known)
    return Scenario(
        f"{WORKED}:{worked.name}",
        seed,
        None,
        None,
        truth,
        now.complaints,
        bike_seed,
        known,
        tuple(history[: guide.customer.told]) or _told(rules, guide, truth, bike_seed, known, dice),
        dice.choose(guide.customer.riders),
        worked.title,
        worked.story,
        worked.teaches,
    )


def _tells_what_is_so(rules: RuleBase, truth: Truth, bike_seed: int) -> bool:
    """Whether the rides prove what was put right: a worked case teaches one thing, not that riders
    can be wrong."""
    corrections = [rules.causes[cause].correction for cause in truth.causes]
    for done in (*([name] for name in corrections), corrections):
        bike = SimulatedBike(rules, truth, bike_seed)
        for name in done:
            bike.correct(name)
        if bike.ride(frozenset()) != ("gone" if bike.is_cured else "better"):
            return False
        for about in (truth.complaint, *truth.also) if truth.also else ():
            behind = bike.behind_one(about)
            some = "better" if behind & bike.fixed else "same"
            if bike.ride(frozenset(), about) != (some if behind - bike.fixed else "gone"):
                return False
    return True


def draw_scenario(
    rules: RuleBase,
    guide: Guide,
    seed: int,
    level: Level | None = None,
    theme: str | None = None,
    like: tuple[str, int] | None = None,
) -> Scenario:
    """A case by seed; `like` gives the complaint that it begins with and how many causes it has.
    Raises `BadInput` for an unknown theme, and where nothing fits all of it."""
    pool = causes_of(rules, theme_named(guide, theme)) if theme else frozenset(rules.causes)
    if level == "not-suspension":
        pool &= causes_of(rules, guide.not_suspension)
    dice = Dice(seed, "scenario", level or "", theme or "", *map(str, like or ()))
    draw = _Draw(rules, guide, pool, level, like)
    truth = draw.truth(dice) if pool else None
    if truth is None:
        words = f" of the theme {theme!r}" if theme else ""
        raise BadInput(f"no cause{words} makes a case of the level {level!r}")
    bike_seed = _all_behind(rules, truth, dice)
    known = agreeing(rules, truth, bike_seed, GivenFacts(instruments=guide.instruments))
    return Scenario(
        like_id(*like, seed) if like else scenario_id(seed, level, theme),
        seed,
        level,
        theme,
        truth,
        (truth.complaint,),
        bike_seed,
        known,
        _told(rules, guide, truth, bike_seed, known, dice),
        dice.choose(guide.customer.riders),
    )


def _all_behind(rules: RuleBase, truth: Truth, dice: Dice) -> int:
    """A bike on which every true cause that can make a complaint has made one, by its seed."""
    for _ in range(_MOST_DRAWS):
        seed = int(dice.unit() * 2**31)
        bike = SimulatedBike(rules, truth, seed)
        if bike.able <= bike.behind:
            return seed
    raise BadInput(f"{', '.join(truth.causes)} next to never make these complaints together")


def _told(
    rules: RuleBase, guide: Guide, truth: Truth, bike_seed: int, known: GivenFacts, dice: Dice
) -> tuple[str, ...]:
    """Some of what has happened to the bike, picked at random; what did not is not told unasked."""
    bike = SimulatedBike(rules, truth, bike_seed, known)
    history = [
        name
        for name, entry in rules.observations.items()
        if entry.kind == "history"
        and entry.is_evidence
        and all(truth.machine[trait] in options for trait, options in entry.needs.items())
        and _happened(rules, bike.answer(name))
    ]
    return dice.sample(history, guide.customer.told)


def _happened(rules: RuleBase, answer: Answered) -> bool:
    return answer.is_known and answer.state != rules.observations[answer.observation].normal


class _Draw:
    """Draws truths until one is of the level asked for."""

    def __init__(
        self,
        rules: RuleBase,
        guide: Guide,
        pool: frozenset[str],
        level: Level | None,
        like: tuple[str, int] | None = None,
    ) -> None:
        self._rules = rules
        self._guide = guide
        self._pool = pool
        self._level = level
        self._causes_wanted = like[1] if like else None
        nodes = [key for key, node in rules.nodes.items() if node.kind == "complaint"]
        self._nodes = [key for key in nodes if like is None or key == like[0]]
        self._felt = {
            (link.cause, link.node): 1 - link.chances[0]
            for link in rules.links
            if rules.nodes[link.node].kind == "complaint"
        }
        self._outside = causes_of(rules, guide.not_suspension)
        self._quickly_seen = {
            link.cause
            for link in rules.links
            if is_check(rules.nodes[link.node], link)
            and link.node in rules.observations
            and not rules.observations[link.node].opens
            and rules.observations[link.node].minutes <= _QUICK
        }

    def truth(self, dice: Dice) -> Truth | None:
        """A truth of the level, or None when many draws gave none."""
        for _ in range(_MOST_DRAWS):
            machine = self._machine(dice)
            possible = [
                key
                for key, cause in self._rules.causes.items()
                if key in self._pool and applies(cause, machine)
            ]
            count = self._count(dice)
            if len(possible) < count:
                continue
            causes = self._causes(dice, possible, count)
            weights = [self._both_felt(causes, node) for node in self._nodes]
            if sum(weights) == 0:
                continue
            node = self._nodes[dice.pick(weights)]
            if self._fits(causes, node, machine):
                name, _, place = node.partition("/")
                order = [key for key in self._rules.causes if key in causes]
                return Truth(tuple(order), Complained(name, place or None), machine)
        return None

    def _machine(self, dice: Dice) -> dict[str, str]:
        usual = self._guide.customer.usual_machine
        return {
            key: trait.default if dice.unit() < usual else dice.choose(list(trait.options))
            for key, trait in self._rules.traits.items()
        }

    def _count(self, dice: Dice) -> int:
        if self._causes_wanted is not None:
            return self._causes_wanted
        if self._level == "two-causes":
            return 2
        if self._level in ("single", "misleading"):
            return 1
        return 2 if dice.unit() < 0.25 else 1

    def _causes(self, dice: Dice, possible: list[str], count: int) -> tuple[str, ...]:
        left, drawn = list(possible), []
        for _ in range(count):
            at = dice.pick([self._rules.causes[key].per_100 for key in left])
            drawn.append(left.pop(at))
        return tuple(drawn)

    def _both_felt(self, causes: tuple[str, ...], node: str) -> float:
        chance = 1.0
        for cause in causes:
            chance *= self._felt.get((cause, node), 0.0)
        return chance

    def _fits(self, causes: tuple[str, ...], node: str, machine: Mapping[str, str]) -> bool:
        if self._level is None:
            return True
        if self._level == "two-causes":
            one, other = (self._rules.causes[cause] for cause in causes)
            return one.correction != other.correction
        ranked = self._ranked(node, machine)
        if self._level == "not-suspension":
            return any(cause not in self._outside for cause in ranked)
        foremost = causes[0] in ranked[:_OBVIOUS]
        if self._level == "misleading":
            return not foremost
        return foremost and causes[0] in self._quickly_seen

    def _ranked(self, node: str, machine: Mapping[str, str]) -> list[str]:
        """The causes that can give this complaint on this bike, likeliest alone first."""
        chances = {
            key: cause.per_100 * self._felt.get((key, node), 0.0)
            for key, cause in self._rules.causes.items()
            if applies(cause, machine)
        }
        able = [key for key, chance in chances.items() if chance > 0]
        return sorted(able, key=lambda key: (-chances[key], key))
