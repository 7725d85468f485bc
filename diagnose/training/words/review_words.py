"""A finished case from its record, in whole lines: the score in words, and every step again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from diagnose.training.customers.guide import Guide
from diagnose.words.chances import counted, percent

Document = Mapping[str, Any]
DEAREST = 3
"""So many mistakes stand before a review (our own choice)."""
_WORTH_NAMING = 0.05  # after the last ride nothing is likely any more (our own choice)
AS_GOOD = "As good as anything here."


def share_word(share: float, pass_mark: float) -> str:
    """A share of the points in a word: weak is what is below the pass mark, in points of a hundred,
    and poor what is below half of it (judged by the authors)."""
    mark = pass_mark / 100
    words = (((1 + mark) / 2, "very good"), (mark, "good"), (mark / 2, "weak"))
    return next((word for least, word in words if share >= least), "poor")


def passed_word(*, passed: bool, failed: bool) -> str:
    """Whether a case is passed; `failed` is one that something unsafe has ended."""
    return "FAILED" if failed else "passed" if passed else "not passed"


def score_text(total: float, passed: str, pass_mark: float) -> str:
    """A score, whether it is passed, and from how many points it would be."""
    return f"Score {total:.0f} of 100: {passed} (from {pass_mark:g})"


def verdict_line(document: Document, guide: Guide) -> str:
    """The score in a line."""
    score = document["score"]
    passed = passed_word(passed=score["passed"], failed=bool(score["failed"]))
    return score_text(score["total"], passed, guide.scoring.pass_mark)


def outcome_lines(document: Document, titles: Mapping[str, str], guide: Guide) -> Iterator[str]:
    """What was wrong with the bike, what was named, what it took."""
    score = document["score"]
    if score["failed"]:
        yield f"Failed: {score['failed']}"
    yield f"It was: {_named(score['behind'] or score['true_causes'], titles)}."
    yield f"You named: {_named(score['named'], titles) or 'no cause'}."
    hints = f"; hints took off {score['hint_points']:g}" if score["hints"] else ""
    yield (
        f"{counted(len(document['review']), 'step')}, {score['minutes']:.0f} min; expected cost "
        f"{score['cost_ratio']:.2f} times that of the advised way{hints}."
    )
    if document["review"]:
        yield from mistake_lines(document)
    yield from guess_notes(score.get("guessed", ()), guide)
    teaches = document["scenario"].get("teaches")
    if teaches:
        yield f"Remember: {teaches}"


def guess_notes(steps: Sequence[int], guide: Guide) -> Iterator[str]:
    """What guesses at these steps, for which nothing was found, cost."""
    if steps:
        yield (
            f"A guess at step {', '.join(map(str, steps))}: nothing found spoke for it, so the "
            f"case counts no more than {guide.scoring.guess_cap:g}."
        )


def measure_lines(measure: Mapping[str, Any], guide: Guide) -> Iterator[str]:
    """What a measure means and where it comes from."""
    yield measure["meaning"]
    yield ""
    yield f"Earned {measure['points']:.1f} of {measure['out_of']:.0f} points."
    if measure["steps"]:
        yield f"Points were lost at: step {', '.join(map(str, measure['steps']))}."
    yield ""
    for name in measure["source"]:
        yield f"Source: {guide.sources.get(name, name)}"


def known_lines(document: Document, number: int) -> Iterator[str]:
    """What was known before step `number`."""
    customer = document.get("customer", {})
    for words in customer.get("words", ()):
        yield f'- "{words}"'
    for line in customer.get("told", ()):
        yield f"- {line}"
    for step in document["review"][: number - 1]:
        yield f"- {_did(step)}"


def mistakes(document: Document) -> list[Mapping[str, Any]]:
    """The steps of a review that were mistakes, the dearest first, the same one only once."""
    found: dict[str, Mapping[str, Any]] = {}
    wrong = [step for step in document["review"] if step["faults"] or step["better"]]
    for step in sorted(wrong, key=lambda step: (-step["loss"], step["number"])):
        found.setdefault(step["did"], step)
    return list(found.values())


def mistake_lines(document: Document) -> Iterator[str]:
    """The dearest mistakes of a case, or that there was none."""
    wrong = mistakes(document)
    if not wrong:
        yield "Every step was as good as any there was."
        return
    count = min(len(wrong), DEAREST)
    yield "The dearest mistake:" if count == 1 else f"The {counted(count, 'dearest mistake')}:"
    for step in wrong[:count]:
        why = step["faults"][0]["text"] if step["faults"] else step["better"]
        yield f"Step {step['number']}, {worth_text(step)}: {step['did']}. {why}"


def worth_text(step: Mapping[str, Any]) -> str:
    """What a step was worth, in one figure."""
    return f"{step['loss']:.0f} min thrown away" if step["loss"] >= 1 else "nothing thrown away"


def took_text(step: Mapping[str, Any]) -> str:
    """The minutes that a step took, with what its parts count as."""
    parts = step.get("parts_minutes", 0)
    return f"{step['minutes']:.0f} min" + (f", {parts:.0f} of them for parts" if parts else "")


def choice_lines(step: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[str]:
    """What was chosen, what it gave, what the causes were after it, what it was worth, and what
    would have been better and why."""
    yield f"You chose: {step['did']}"
    if step["result"]:
        yield f"It gave: {step['result']}"
    yield f"Took {took_text(step)}; {worth_text(step)}."
    yield ""
    if step.get("after"):
        yield after_words(step, titles)
    for fault in step["faults"]:
        yield f"- {fault['text']}"
    if step.get("harm"):
        yield f"- {step['harm']}"
    if step["better"]:
        yield step["better"]
    elif not step["faults"]:
        yield AS_GOOD


def worked_lines(step: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[str]:
    """A technician's step: what was done and why, what it gave, what the causes were after it."""
    yield f"Technician: {step['did']}"
    yield f"Why: {step['advised']['why']}"
    if step["result"]:
        yield f"It gave: {step['result']}"
    if any(item["probability"] >= _WORTH_NAMING for item in step.get("after", ())):
        yield ""
        yield after_words(step, titles)


def example_end(document: Document, titles: Mapping[str, str]) -> Iterator[str]:
    """What a worked example comes to."""
    score = document["score"]
    yield f"It was: {_named(score['behind'] or score['true_causes'], titles)}."
    yield f"{counted(len(document['review']), 'step')}, {score['minutes']:.0f} min."
    teaches = document["scenario"].get("teaches")
    if teaches:
        yield f"Remember: {teaches}"
    yield "Of the next customers the last steps are left to you, then all of them."


def leading_of(step: Mapping[str, Any], titles: Mapping[str, str]) -> Sequence[tuple[str, float]]:
    """The likeliest causes before a step, with their chances."""
    return [(_title(item["cause"], titles), item["probability"]) for item in step["leading"]]


def leading_words(step: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """The likeliest causes before a step, with their chances, in one line."""
    told = [f"{title} {percent(chance)}" for title, chance in leading_of(step, titles)]
    return f"Likeliest then: {'; '.join(told) or 'nothing stood out'}"


def after_words(step: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """The likeliest causes after a step, with their chances, in one line."""
    told = [
        f"{_title(item['cause'], titles)} {percent(item['probability'])}"
        for item in step.get("after", ())
    ]
    return f"Likeliest after it: {'; '.join(told) or 'nothing stood out'}"


def _did(step: Mapping[str, Any]) -> str:
    return f"{step['did']}{' -> ' + step['result'] if step['result'] else ''}"


def _named(causes: Sequence[str], titles: Mapping[str, str]) -> str:
    return ", ".join(_title(cause, titles) for cause in causes)


def _title(cause: str, titles: Mapping[str, str]) -> str:
    return titles.get(cause, cause)
