"""Sentences that are put together from the names of complaints and of work, for every one there is."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.advice.reasons import AskedFirst
from diagnose.case.events import Case, Complained, Corrected, Rode
from diagnose.listening.heard import OpenQuestion, Slice
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.event_words import event_text
from diagnose.words.evidence_words import evidence_text
from diagnose.words.heard_words import question_text
from diagnose.words.step_words import step_text, why_text
from diagnose.words.titles import lowered
from rules.rulebase import RuleBase

_VERB = re.compile(r"(?:is|was|has|no longer|came|must|stays|\w+s)\b")


def _complaints(rules: RuleBase) -> Iterator[Complained]:
    for name, entry in rules.complaints.items():
        yield from (Complained(name, place) for place in (None, *entry.places))


def _sentences(assessor: Assessor, one: Complained) -> Iterator[str]:
    rules = assessor.rules
    words = (Slice(0, 4, "that"),)
    yield question_text(rules, OpenQuestion("complaint", one.complaint, words, place=one.place))
    ends = rules.complaints[one.complaint].places
    if one.place is None and ends:
        yield question_text(rules, OpenQuestion("place", one.complaint, words, ends))
    first = AskedFirst(one.complaint)
    if one.place is None:
        yield why_text(rules, Step("ask", next(iter(rules.observations)), first, 1.0))
    other = Complained("harsh" if one.complaint != "harsh" else "noise", "front")
    work = next(iter(rules.corrections))
    case = Case(events=(one, other, Corrected(work)))
    yield step_text(rules, case, Step("confirm", work, None, 1.0)).note
    ridden = case.with_event(Rode("gone", one.key))
    yield event_text(rules, ridden.events[-1])
    rides = [e for e in assessor.model.believe(ridden).evidence if e.kind == "ride"]
    yield from (evidence_text(rules, ride, ridden) for ride in rides)


def test_a_complaint_stands_in_a_sentence_as_a_name_of_its_own(offroad_assessor: Assessor) -> None:
    """Some are called `harsh`, some `tops out with a clunk`: words before and after are set off by
    a sign, and no brackets stand in brackets."""
    rules, count = offroad_assessor.rules, 0
    for one in _complaints(rules):
        title = complaint_title(rules, one)
        for text in _sentences(offroad_assessor, one):
            found = re.search(re.escape(lowered(title)), text, re.IGNORECASE)
            assert found, (title, text)
            count += 1
            before, after = text[: found.start()].rstrip(), text[found.end() :].lstrip()
            assert not before or before[-1] in ":,(", text
            assert not after or after[0] in ":,;?.", text
            assert not re.search(r"\([^)]*\(", text), text
    assert count > 150


def test_after_if_it_there_is_a_verb(offroad: RuleBase) -> None:
    """`If it still packs down`, never `if it still harsh`."""
    steps = [step for entry in offroad.corrections.values() for step in entry.steps]
    found = [m for step in steps for m in re.finditer(r"\b[Ii]f it (?:still )?(.*)", step)]
    assert len(found) > 20
    assert [m[0] for m in found if not _VERB.match(m[1])] == []
