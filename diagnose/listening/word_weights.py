"""What words speak for beyond the phrases: weights learned from labelled sentences.

A phrase says much or nothing; riders put things in ways that no list foresees. So each word, each
list that it belongs to and each pair of neighbours has a weight for each complaint and for the
facts told most, by logistic regression (D. R. Cox, The Regression Analysis of Binary Sequences,
Journal of the Royal Statistical Society B, 1958, from memory). What phrases and words say together
is weighed in the same way (stacking: D. H. Wolpert, Stacked Generalization, Neural Networks, 1992,
from memory); a fact that a phrase finds is asked about or left where that phrase was often wrong
or the words around it speak against it. The weights are computed by
`python -m tests.diagnose.listening.learning` and stand beside the pack that ships; what other packs
add has its phrases only.
"""

from __future__ import annotations

import json
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from itertools import pairwise

from diagnose.listening.ends import Ends
from diagnose.listening.facts import FoundFact
from diagnose.listening.grading import TAKEN, Graded, of_a_stranger, of_other_part
from diagnose.listening.heard import Why
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import Vocabulary
from rules.loading.pack_files import OFFROAD, WORD_WEIGHTS

_FILE = OFFROAD / WORD_WEIGHTS / "learned.json"
_LEAST = 0.02
"""What is less likely than this by its words is not looked at."""
_LEAST_FOR_A_FACT = -0.25
"""Nats; measured on sentences left out: facts found by phrases are then right in three of four
cases instead of three in five, and one in seventeen right ones is lost."""
FACT_TAKEN, FACT_ASKED = 0.5, 0.35
"""So likely by its phrase and all words a fact is taken, or asked about; on sentences of authors
left out, what is taken is then right in four of five cases instead of two of three, and of what
phrases find rightly five in six are taken instead of nineteen in twenty."""
_TAKEN_FACT = 0.7
"""So likely by words alone a fact is taken: right in nine of ten, on sentences left out."""
_MANY_PHRASES = 3
_SHOWN = 0.25
"""Of the weight of the word that speaks most, from which share on a word is shown for it."""
_NEVER = 1e-4
_MOST_NATS = 50.0
_BELOW_TAKEN = 0.45
_CLEAR, _CLEAR_ALONE, _TIMES_THE_NEXT = 0.2, 0.4, 2.0


Nats = Mapping[str, float]


@dataclass(frozen=True)
class WordWeights:
    """Nats for each complaint and each `observation=state`: at the `start`, before any word, and
    by feature in `words`; many small ones by feature that a fact found must not speak against,
    `against`; and what the chance of a complaint by words (in log odds), the sureness of a phrase
    and a phrase that was put aside weigh `together`. `phrases` have for each fact the nats by
    which a phrase that finds it was right rather than wrong, and `facts` what that and the words
    weigh."""

    start: Nats
    words: Mapping[str, Nats]
    against: Mapping[str, Nats]
    together: Nats
    phrases: Mapping[str, Nats] = field(default_factory=dict)
    facts: Nats = field(default_factory=dict)

    @cached_property
    def weighed(self) -> frozenset[str]:
        """The facts whose words were told often enough to say anything against them."""
        return frozenset(key for nats in self.against.values() for key in nats)


NO_WEIGHTS = WordWeights({}, {}, {}, {})


@dataclass(slots=True)
class ByWords:
    """How likely something is by the words alone, and what each token says for it, in nats."""

    chance: float
    told: dict[int, float] = field(default_factory=dict)

    @property
    def at(self) -> tuple[int, ...]:
        """The tokens that say most for it."""
        most = max(self.told.values(), default=0.0)
        return tuple(sorted(n for n, told in self.told.items() if told > _SHOWN * most))


_NO_WORDS = ByWords(0.0)


@cache
def _shipped() -> WordWeights:
    raw = json.loads(_FILE.read_text(encoding="utf-8"))
    return WordWeights(**raw)


def weights_for(vocabulary: Vocabulary) -> WordWeights:
    """The weights for these packs; none where the pack that they were learned for is not there."""
    is_ours = any(info.id == OFFROAD.name for info in vocabulary.rules.packs)
    return _shipped() if is_ours else NO_WEIGHTS


def features(
    vocabulary: Vocabulary, tokens: Sequence[Token], scope: Scope
) -> dict[str, tuple[int, ...]]:
    """What a text has that can have a weight, with its tokens: stems and `#LIST`, after `!` where
    denied and `~` where past, supposed or another's; pairs of neighbours, an end standing for all
    its words."""
    found: dict[str, tuple[int, ...]] = {}
    names: list[str | None] = []
    for number, token in enumerate(tokens):
        if not token.is_word:
            names.append(None)
            continue
        why = scope.of((number,), (number,))
        aside = "" if why is None else "!" if why == "denied" else "~"
        found.setdefault(aside + token.stem, (number,))
        for name in sorted(token.lists):
            found.setdefault(f"{aside}#{name}", (number,))
        named = min(token.lists & vocabulary.broad, default="")
        names.append(f"#{named}" if named else token.stem)
    for number, (one, other) in enumerate(pairwise(names)):
        if one is not None and other is not None:
            found.setdefault(f"{one}_{other}", (number, number + 1))
    return found


Features = Mapping[str, tuple[int, ...]]


def by_words(weights: WordWeights, said: Features) -> dict[str, ByWords]:
    """What the words alone make likely enough to look at."""
    score = dict(weights.start)
    told: dict[str, dict[int, float]] = {}
    for feature, at in said.items():
        for name, weight in weights.words.get(feature, {}).items():
            score[name] += weight
            by_token = told.setdefault(name, {})
            for number in at:
                by_token[number] = by_token.get(number, 0.0) + weight / len(at)
    chances = {name: _chance(nats) for name, nats in score.items() if name in told}
    return {n: ByWords(chance, told[n]) for n, chance in chances.items() if chance >= _LEAST}


def believed(
    weights: WordWeights,
    vocabulary: Vocabulary,
    likely: Mapping[str, ByWords],
    said: Features,
    found: Sequence[FoundFact],
) -> list[FoundFact]:
    """The facts that phrases found, with the reason why one does not count where the words of the
    whole text speak against it, and those that words alone make sure."""
    score: dict[str, float] = {}
    for feature in said:
        for key, weight in weights.against.get(feature, {}).items():
            score[key] = score.get(key, 0.0) + weight
    by_key: dict[str, set[str]] = {}
    for fact in found:
        if fact.why is None:
            by_key.setdefault(fact.key, set()).add(fact.phrase)
    chances = {
        key: _sure_of(
            weights, key, phrases, score.get(key, 0.0) if key in weights.weighed else None
        )
        for key, phrases in by_key.items()
    }
    facts = []
    for fact in found:
        if fact.why is None:
            chance = chances[fact.key]
            why: Why | None = None if chance >= FACT_ASKED else "unlikely by the words"
            facts.append(replace(fact, why=why, sure=0.0 if fact.end_open else chance))
        else:
            facts.append(fact)
    told = {fact.id for fact in facts if not fact.end_open}
    sure = {key: one for key, one in likely.items() if one.chance >= _TAKEN_FACT and one.at}
    for key in sorted(sure, key=lambda key: -sure[key].chance):
        name, is_fact, state = key.partition("=")
        entry = vocabulary.rules.observations.get(name)
        if is_fact and name not in told and entry is not None and state in entry.states:
            told.add(name)
            facts.append(FoundFact(name, state, sure[key].at, sure[key].chance))
    return [fact for fact in facts if not (fact.end_open and fact.id in told)]


def _sure_of(
    weights: WordWeights, key: str, phrases: Collection[str], against: float | None
) -> float:
    """How likely a fact is right that these phrases find. Where one of them was never found in a
    labelled sentence, as those of a shop's own pack, it is as good as any unless all words speak
    against it."""
    known = weights.phrases.get(key, {})
    if not weights.facts or any(phrase not in known for phrase in phrases):
        return 0.0 if (against or 0.0) < _LEAST_FOR_A_FACT else 1.0
    told = fact_features(max(known[phrase] for phrase in phrases), len(phrases), against)
    return _chance(weights.facts["start"] + sum(weights.facts[k] * v for k, v in told.items()))


def fact_features(record: float, phrases: int, against: float | None) -> dict[str, float]:
    """What is weighed of a fact that phrases find: the best record of them in nats, how many there
    are, and what all words say of it, in nats, if that was learned."""
    return {
        "record": record,
        "more": float(min(phrases - 1, _MANY_PHRASES)),
        "words": against or 0.0,
        "weighed": float(against is not None),
    }


def weighed(
    weights: WordWeights,
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    likely: Mapping[str, ByWords],
    ends: Ends,
    found: Sequence[Graded],
) -> list[Graded]:
    """The complaints that phrases found, as sure as their words make them, and those that words
    alone speak for; the surest first. What phrases put aside is asked about at most, and a
    complaint without weights stays as it is."""
    put_aside = {item.complaint for item in found if item.why is not None}
    phrased = {item.complaint for item in found if item.why is None}
    sure_phrased = {g.complaint for g in found if g.why is None and g.sure >= TAKEN}

    def sureness(name: str, phrase: float) -> float:
        sure = _together(weights, likely.get(name, _NO_WORDS), phrase, name in put_aside)
        return _kept_low(sure, name in put_aside and not phrase)

    made = [
        replace(item, sure=_kept_low(sureness(item.complaint, item.sure), item.is_doubted))
        if item.why is None and item.complaint in weights.start
        else item
        for item in found
    ]
    for name, one in likely.items():
        if name in vocabulary.rules.complaints and name not in phrased and one.at:
            made += _at_ends(vocabulary, tokens, ends, name, one.at, sureness(name, 0.0))
    ordered = sorted(made, key=lambda g: (-g.rank[0], -g.sure, g.at))
    first = next(iter(ordered), None)
    if first is not None and first.complaint in weights.start and first.why is None:
        _take_the_clearest(ordered, sure_phrased, put_aside)
    return ordered


def _take_the_clearest(
    found: Sequence[Graded], phrased: Collection[str], put_aside: Collection[str]
) -> None:
    """Where nothing is taken, what stands out clearly from the next is; words alone must say more
    than words beside a phrase that would do by itself."""
    first = found[0]
    if first.sure >= TAKEN:
        return
    least = _CLEAR if first.complaint in phrased else _CLEAR_ALONE
    rivals = (g.sure for g in found if g.why is None and g.complaint != first.complaint)
    is_clear = first.sure >= least and first.sure > _TIMES_THE_NEXT * max(rivals, default=0.0)
    if is_clear and not first.is_doubted and first.complaint not in put_aside:
        for item in found:
            if item.complaint == first.complaint and item.why is None:
                item.sure = max(item.sure, TAKEN)


def _together(weights: WordWeights, words: ByWords, phrase: float, is_aside: bool) -> float:
    """How sure a complaint is by its words and the phrase found for it."""
    nats = weights.together
    told = together_features(words.chance, phrase, is_aside=is_aside)
    return _chance(nats["start"] + sum(nats[name] * value for name, value in told.items()))


def together_features(chance: float, phrase: float, *, is_aside: bool) -> dict[str, float]:
    """What is weighed together: the log odds by words, a phrase's sureness, whether that alone
    would do, and whether the complaint was put aside somewhere."""
    kept = min(max(chance, _NEVER), 1 - _NEVER)
    return {
        "words": math.log(kept / (1 - kept)),
        "phrase": phrase,
        "taken": float(phrase >= TAKEN),
        "aside": float(is_aside),
    }


def _at_ends(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    ends: Ends,
    name: str,
    at: tuple[int, ...],
    sure: float,
) -> list[Graded]:
    places = vocabulary.rules.complaints[name].places
    named: Collection[str | None] = [end for end, _ in ends.of(at) if end in places]
    telling = (n for n in at if tokens[n].word not in vocabulary.small)
    core = tuple(n for n in telling if not tokens[n].lists & vocabulary.broad) or at
    if of_other_part(vocabulary, tokens, at, core):
        return []
    is_doubted = of_a_stranger(vocabulary, tokens, core)
    sure = _kept_low(sure, is_doubted)
    return [Graded(name, place, at, core, sure, None, is_doubted) for place in named or [None]]


def _kept_low(sure: float, is_doubted: bool) -> float:
    return min(sure, _BELOW_TAKEN) if is_doubted else sure


def _chance(nats: float) -> float:
    return 1 / (1 + math.exp(-max(nats, -_MOST_NATS)))
