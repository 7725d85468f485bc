"""Doubts about single entries: wording, proof, cautions, ranges, and what nothing uses."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import chain
from typing import get_args

from rules.language.conditions import names_in
from rules.language.schema import Band, Cause, Complaint, Correction, Grade, Observation
from rules.review.doubts import Doubt, doubt
from rules.rulebase import RuleBase
from rules.units.quantities import parse_quantity, parse_threshold
from rules.yaml_source import suggest

MOST_WORDS = 45
MOST_WORDS_OF_TEXT = 90
LONGEST_TITLE = 70
"""Letters, so that a title stands in one line of a narrow window."""
_LEAST_LETTERS = 4
_SENTENCE_ENDS = (".", "!", "?", ".”", '."')
_PLACEHOLDER = re.compile(r"\W*(?:tbd|todo|tba|none|n/?a|xxx|unknown|later)?\W*", re.IGNORECASE)

Found = Iterator[Doubt]


def entry_doubts(rules: RuleBase) -> Found:
    """Every doubt about the entries of a pack, each by itself."""
    yield from _wordy(rules)
    yield from _cut(rules)
    yield from _unproven(rules)
    yield from _bare_hazards(rules)
    yield from _bare_rides(rules)
    yield from _ungraded(rules)
    yield from _out_of_range(rules)
    yield from _lone_groups(rules)
    yield from _same_causes(rules)
    yield from _idle(rules)


def _wordy(rules: RuleBase) -> Found:
    titled: dict[str, Mapping[str, Cause | Complaint | Correction]] = {
        "causes": rules.causes,
        "complaints": rules.complaints,
        "corrections": rules.corrections,
    }
    for section, entries in titled.items():
        for key, entry in entries.items():
            if len(entry.title) > LONGEST_TITLE:
                message = f"over {LONGEST_TITLE} letters; say it shorter"
                yield doubt(rules, (section, key), ("title",), "wordy", message)
    texts = chain(
        (("causes", key, "what", entry.what) for key, entry in rules.causes.items()),
        (("cautions", key, "text", entry.text) for key, entry in rules.cautions.items()),
    )
    for section, key, field, text in texts:
        if len(text.split()) > MOST_WORDS_OF_TEXT:
            message = f"over {MOST_WORDS_OF_TEXT} words; nobody reads that at the bench"
            yield doubt(rules, (section, key), (field,), "wordy", message)
    for section, key, path, text in _steps(rules):
        if len(text.split()) > MOST_WORDS:
            message = f"over {MOST_WORDS} words; make it several steps"
            yield doubt(rules, (section, key), path, "wordy", message)


def _steps(rules: RuleBase) -> Iterator[tuple[str, str, tuple[str | int, ...], str]]:
    """(section, id, path, text) of everything that tells somebody to do something."""
    for key, observation in rules.observations.items():
        for number, line in enumerate(observation.how):
            yield "observations", key, ("how", number), line
    for key, correction in rules.corrections.items():
        for number, line in enumerate(correction.steps):
            yield "corrections", key, ("steps", number), line


def _cut(rules: RuleBase) -> Found:
    """Steps that are no whole sentence, as where a list in brackets was split at a comma."""
    for section, key, path, text in _steps(rules):
        if not text.endswith(_SENTENCE_ENDS) or text[0].islower():
            message = "a step is a whole sentence; in brackets a comma begins the next step"
            yield doubt(rules, (section, key), path, "cut-sentence", message)


def _unproven(rules: RuleBase) -> Found:
    for key, entry in rules.corrections.items():
        letters = sum(letter.isalpha() for letter in entry.proof)
        if _PLACEHOLDER.fullmatch(entry.proof) or letters < _LEAST_LETTERS:
            message = "this proves nothing; say what shows that the complaint is put right"
            yield doubt(rules, ("corrections", key), ("proof",), "no-proof", message)


def _bare_hazards(rules: RuleBase) -> Found:
    """Steps that open something, or that the words of the pack's own cautions call hazardous."""
    entries: dict[str, Mapping[str, Observation | Correction]] = {
        "observations": rules.observations,
        "corrections": rules.corrections,
    }
    for section, table in entries.items():
        for key, entry in table.items():
            if entry.opens and not entry.cautions:
                message = "it opens something and carries no caution"
                yield doubt(rules, (section, key), ("opens",), "no-caution", message)
    calling: dict[str, set[str]] = {}
    for name, caution in rules.cautions.items():
        for word in caution.called_for_by:
            calling.setdefault(word.lower(), set()).add(name)
    if not calling:
        return
    words = sorted(calling, key=lambda word: (-len(word), word))
    pattern = re.compile(rf"\b(?:{'|'.join(map(re.escape, words))})\b", re.IGNORECASE)
    told: set[tuple[str, str, str]] = set()
    for section, key, path, text in chain(_steps(rules), _things_used(rules)):
        entry = entries[section][key]
        for word in dict.fromkeys(match.lower() for match in pattern.findall(text)):
            wanted = calling[word]
            if not wanted.isdisjoint({*entry.cautions, *entry.no_need_of}):
                continue
            if (section, key, word) in told:
                continue
            told.add((section, key, word))
            message = (
                f"{word!r} calls for the caution {' or '.join(sorted(wanted))}; add it to "
                "`cautions`, or say under `no_need_of` why it can do without"
            )
            yield doubt(rules, (section, key), path, "no-caution", message)


def _things_used(rules: RuleBase) -> Iterator[tuple[str, str, tuple[str | int, ...], str]]:
    """(section, id, path, text) of the tools and parts that work is done with."""
    for key, observation in rules.observations.items():
        for number, tool in enumerate(observation.tools):
            yield "observations", key, ("tools", number), tool
    for key, correction in rules.corrections.items():
        for field, things in (("tools", correction.tools), ("parts_list", correction.parts_list)):
            for number, thing in enumerate(things):
                yield "corrections", key, (field, number), thing


def _bare_rides(rules: RuleBase) -> Found:
    """Ride tests that none of the cautions of a ride goes before."""
    for key, entry in rules.observations.items():
        wanted = rules.policy.ride_cautions
        if entry.kind == "ride-test" and wanted and set(wanted).isdisjoint(entry.cautions):
            message = f"it is ridden and carries no caution; add {' or '.join(wanted)}"
            yield doubt(rules, ("observations", key), (), "no-caution", message)


def _ungraded(rules: RuleBase) -> Found:
    for key, source in rules.sources.items():
        if source.kind == "published" and source.grade is None:
            message = f"say what kind of print it is under `grade`: {', '.join(get_args(Grade))}"
            yield doubt(rules, ("sources", key), (), "ungraded", message)


def _out_of_range(rules: RuleBase) -> Found:
    for key, entry in rules.observations.items():
        for number, band in enumerate(entry.bands):
            message = _never_reached(entry, band, entry.bands[:number])
            if message:
                path = ("bands", number, "above" if band.above is not None else "below")
                yield doubt(rules, ("observations", key), path, "out-of-range", message)


def _lone_groups(rules: RuleBase) -> Found:
    """Causes that a pack on top of others puts into a group of which there is no other cause."""
    groups = Counter(cause.group for cause in rules.causes.values())
    for key, cause in rules.causes.items():
        lone = groups[cause.group] == 1 and len(groups) > 1
        if not lone or rules.origins["causes", key].pack == rules.packs[0].id:
            continue
        known = [name for name in groups if name != cause.group]
        hint = suggest(cause.group, known) or ";"
        message = (
            f"no other cause is in the group {cause.group!r}{hint} there are {', '.join(known)}. "
            "A new group has two causes at least"
        )
        yield doubt(rules, ("causes", key), ("group",), "lone-group", message)


def _same_causes(rules: RuleBase) -> Found:
    """Causes that show and need what another does and are put right by the same work."""
    seen: dict[object, str] = {}
    for key, cause in rules.causes.items():
        mark = (
            tuple(sorted((node, str(strength)) for node, strength in cause.shows.items())),
            tuple(sorted(cause.needs.items())),
            cause.correction,
        )
        other = seen.setdefault(mark, key)
        if other != key:
            message = (
                f"{other} shows the same and is put right by the same work; take one of them out, "
                "or say what this one shows that the other does not"
            )
            yield doubt(rules, ("causes", key), ("shows",), "repeated", message)


def _never_reached(entry: Observation, band: Band, earlier: tuple[Band, ...]) -> str:
    """Why no reading falls in the band; empty when one can."""
    assert entry.unit is not None and entry.limits is not None
    value = _limit(band, entry.unit)
    for other in earlier:
        if value is None or (other.above is None) != (band.above is None):
            continue
        first = _limit(other, entry.unit)
        if first is None or first[0] != value[0]:
            continue
        if (value[1] >= first[1]) if band.above is not None else (value[1] <= first[1]):
            return f"{other.state!r} stands before it and takes every such reading; swap them"
    if value is None or value[0]:
        return ""
    low, high = (parse_quantity(text, entry.unit).to(entry.unit).value for text in entry.limits)
    if (value[1] >= high) if band.above is not None else (value[1] <= low):
        return f"`limits` allow no such reading ({entry.limits[0]} to {entry.limits[1]})"
    return ""


def _limit(band: Band, unit: str) -> tuple[bool, float] | None:
    """(relative to the target, value) of a band's limit; None for a multiple of the target."""
    limit = parse_threshold(band.above or band.below or "", unit)
    if limit.uses_target and limit.factor != 1.0:
        return None
    return limit.uses_target, limit.offset.to(unit).value if limit.offset is not None else 0.0


def _idle(rules: RuleBase) -> Found:
    """Cautions, pictures, targets and traits that nothing names."""
    used = set(rules.policy.ride_cautions)
    used.update(c for entry in rules.observations.values() for c in entry.cautions)
    used.update(c for entry in rules.corrections.values() for c in entry.cautions)
    used.update(c for entry in rules.before_ride.values() for c in entry.cautions)
    used.update(rule.then.caution for rule in rules.rules.values() if rule.then.caution)
    for key in rules.cautions:
        if key not in used:
            message = "no step, rule or ride carries it; add it where it belongs or take it out"
            yield doubt(rules, ("cautions", key), (), "unused", message)
    shown = {entry.picture for entry in rules.observations.values()}
    shown |= {entry.picture for entry in rules.corrections.values()}
    for key in rules.pictures:
        if key not in shown:
            message = "no observation or correction shows it; name it as a `picture` or take it out"
            yield doubt(rules, ("pictures", key), (), "unused", message)
    measured = {entry.target for entry in rules.observations.values()}
    for key, cause in rules.causes.items():
        for target in cause.shown_in:
            if target not in cause.shows:
                message = "the cause does not show it, so no source can say that it does"
                yield doubt(rules, ("causes", key), ("shown_in", target), "unused", message)
    for key in rules.specs:
        if key not in measured:
            message = "no measurement has it as its target"
            yield doubt(rules, ("specs", key), (), "unused", message)
    named = {trait for entry in rules.observations.values() for trait in entry.needs}
    named.update(trait for entry in rules.causes.values() for trait in entry.needs)
    named.update(trait for entry in rules.before_ride.values() for trait in entry.needs)
    named.update(spec.by for spec in rules.specs.values() if spec.by is not None)
    named.update(t for spec in rules.specs.values() for kind in spec.where for t in kind.needs)
    for rule in rules.rules.values():
        named.update(names_in(rule.when))
    for key in rules.traits:
        if key not in named:
            message = "nothing depends on it, so there is no need to ask"
            yield doubt(rules, ("traits", key), (), "unused", message)
