"""A worked case made of a closed case of the shop, without names and the rider's own words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from diagnose.authoring.adding.edits import Edit
from diagnose.authoring.adding.questions import entry_kinds
from diagnose.authoring.trials.trial_bikes import as_found
from diagnose.case.events import Answered, standing
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.fitting import fitted
from diagnose.words.answers import answer_text
from diagnose.words.event_words import complaint_key_text
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.yaml_source import suggest

_LONGEST_STORY = 1400


def example_of(
    rules: RuleBase,
    kept: KeptCase,
    *,
    cause: str | None = None,
    title: str | None = None,
    story: str | None = None,
    aside: bool = False,
) -> Edit:
    """The file of a worked case that a closed case makes in the pack at the top of `rules`.

    It holds what was found before anything was done. The bike's name, notes and the rider's words
    are left out; the story is made of complaints and answers unless it is given. `cause` names
    what was behind it where the closing does not. Raises `BadInput`.
    """
    number = kept.id
    closed = kept.folded.closed
    if closed is None:
        raise BadInput(f"case {number} is open; `badride cases close {number}` closes it first")
    truth = [cause] if cause else list(dict.fromkeys(c.cause for c in closed.cured if c.cause))
    if not truth:
        raise BadInput(
            f"case {number} closed as {closed.outcome}, without a cause; name what was behind it: "
            "--cause ID (badride list causes)"
        )
    for name in truth:
        if name not in rules.causes:
            raise BadInput(f"{name!r} is not a cause{suggest(name, list(rules.causes))}")
    case = as_found(fitted(rules, kept.case))
    now = standing(case)
    answers = {name: _written(answer) for name, answer in now.answers.items() if answer.is_known}
    complaints = [complaint.key for complaint in now.complaints]
    if not complaints:
        raise BadInput(f"case {number} has no complaint that this rule base knows")
    told = " and ".join(complaint_key_text(rules, complaint.key) for complaint in now.complaints)
    body: dict[str, Any] = {
        "case": 1,
        "title": title or f"{told}, case {number} of our own",
        "set": "aside" if aside else "tuning",
        "invented": False,
        "story": story or _shortened(_story(rules, told, now.answers)),
        "machine": dict(case.machine),
        "targets": {name: str(figure) for name, figure in case.targets.items()},
        "complaints": complaints,
        "answers": answers,
        "truth": truth,
        "teaches": f"Behind it was: {' and '.join(rules.causes[name].title for name in truth)}.",
        "source": own_source(rules),
    }
    body = {field: value for field, value in body.items() if value not in ({}, [])}
    notes = entry_kinds()["case"].notes
    return Edit((), body, notes, f"worked_cases/our-case-{number}.yaml")


def own_source(rules: RuleBase) -> str:
    """The first source of the pack at the top. Raises `BadInput` where it has none."""
    pack = rules.packs[-1].id
    for name in rules.sources:
        if rules.origins["sources", name].pack == pack:
            return name
    raise BadInput(
        f"the pack {pack} has no source of its own yet; `badride rules add FOLDER source` makes one"
    )


def _written(answer: Answered) -> str:
    return str(answer.reading) if answer.reading is not None else str(answer.state)


def _shortened(sentences: Iterator[str]) -> str:
    """As many whole sentences as a story may have."""
    text = ""
    for sentence in sentences:
        if len(text) + len(sentence) > _LONGEST_STORY:
            break
        text += f" {sentence}"
    return text.strip()


def _story(rules: RuleBase, told: str, answers: Mapping[str, Answered]) -> Iterator[str]:
    yield f"The rider complained: {told}."
    for name, answer in answers.items():
        if answer.is_known:
            asked = rules.observations[name].ask.rstrip("?:")
            yield f"{asked[:1].upper()}{asked[1:]}: {answer_text(rules, answer)}."
