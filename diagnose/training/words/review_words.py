"""A finished case from its record, in whole lines: the score in words, and every step again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from diagnose.training.customers.guide import Guide
from diagnose.training.scoring.review import WORTH_A_WORD
from diagnose.words.chances import counted, percent

Document = Mapping[str, Any]
DEAREST = 3
"""So many mistakes stand before a review (our own choice)."""
_WORTH_NAMING = 0.05  # after the last ride nothing is likely any more (our own choice)
_CAPPED = "more it cannot count, for the reason below"
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
    text = score_text(score["total"], passed, guide.scoring.pass_mark)
    parts = sum(measure["points"] for measure in score["measures"])
    return f"{text}. {adding_text(parts, score['hint_points'], score['total'])}"


def adding_text(parts: float, hints: float, total: float) -> str:
    """How the points of the measures and those that hints take off come to the total."""
    if not parts and not total:
        return ""
    came = f"The parts come to {parts:.0f}"
    came += f", less {hints:g} for hints" if hints else ""
    return f"{came}; {_CAPPED}." if max(0.0, parts - hints) - total > WORTH_A_WORD else f"{came}."


def outcome_lines(document: Document, titles: Mapping[str, str], guide: Guide) -> Iterator[str]:
    """What was wrong with the bike, what was named, what it took."""
    score = document["score"]
    if score["failed"]:
        yield f"Failed, so it counts 0: {score['failed']}"
    yield f"It was: {_named(score['behind'] or score['true_causes'], titles)}."
    yield f"You named: {_named(score['named'], titles) or 'no cause'}."
    steps = counted(len(document["review"]), "step")
    yield f"{steps}, {score['minutes']:.0f} min. {lost_text(document)}".rstrip()
    yield from nothing_lines(document)
    if document["review"]:
        yield from mistake_lines(document)
    yield from guess_notes(score.get("guessed", ()), guide)
    teaches = document["scenario"].get("teaches")
    if teaches:
        yield f"Remember: {teaches}"


def lost_text(document: Document) -> str:
    """The minutes that choices lost over a case, and the points that this took off; "" where a case
    left undone gets no points for minutes whatever was lost, which another line says."""
    lost = sum(step["loss"] for step in document["review"])
    if lost < WORTH_A_WORD:
        return "No choice lost a minute."
    measures = _measures(document, "expected-cost")
    off = sum(m["out_of"] - m["points"] for m in measures)
    if any(measure["share"] == 0 for measure in measures):
        return ""
    return f"Your choices lost about {lost:.0f} min, which took off {off:.0f} points."


def nothing_lines(document: Document) -> Iterator[str]:
    """Why there is nothing at all for a measure that counts most, where that is so."""
    score, steps = document["score"], document["review"]
    if score["failed"] or not document["finished"] or not steps:
        return
    if any(measure["share"] == 0 for measure in _measures(document, "proven")):
        proof, minutes = (
            sum(measure["out_of"] for measure in _measures(document, key))
            for key in ("proven", "expected-cost")
        )
        lost = sum(step["loss"] for step in steps)
        beside = f", whatever the minutes that choices lost (about {lost:.0f})" if lost else ""
        what = "left" if steps[-1]["move"]["do"] == "hand-back" else "was handed over"
        yield (
            f"It {what} before a ride said that it was gone: none of the {proof:.0f} points for "
            f"proof and none of the {minutes:.0f} for minutes{beside}."
        )
    if any(measure["share"] == 0 for measure in _measures(document, "right-cause")):
        yield (
            "No point for the right cause: what you named was not behind it."
            if score["named"]
            else "No point for the right cause: you named none."
        )


def _measures(document: Document, *wanted: str) -> list[Mapping[str, Any]]:
    return [measure for measure in document["score"]["measures"] if measure["id"] in wanted]


def points_lost(document: Document, step: Mapping[str, Any]) -> float:
    """The points that a step lost: its part of what each measure lost, by minutes for those lost
    and in equal parts for the others."""
    lost, steps = 0.0, document["review"]
    for measure in document["score"]["measures"]:
        off = measure["out_of"] - measure["points"]
        if step["number"] not in measure["steps"] or off <= 0:
            continue
        if measure["id"] != "expected-cost":
            lost += off / len(measure["steps"])
        elif measure["share"] > 0:
            lost += off * step["loss"] / sum(one["loss"] for one in steps)
    return lost + _lost_undone(document, step)


def _lost_undone(document: Document, step: Mapping[str, Any]) -> float:
    """What of that is for ending a case before it was proved."""
    undone = [m for m in _measures(document, "proven", "expected-cost") if m["share"] == 0]
    return sum(m["out_of"] for m in undone) if step is document["review"][-1] else 0.0


def guess_notes(steps: Sequence[int], guide: Guide) -> Iterator[str]:
    """What guesses at these steps, for which nothing was found, cost."""
    if steps:
        yield (
            f"A guess at {at_steps(steps)}: nothing found spoke for it, so the "
            f"case counts no more than {guide.scoring.guess_cap:g}."
        )


def measure_lines(measure: Mapping[str, Any], guide: Guide) -> Iterator[str]:
    """What a measure means and where it comes from."""
    yield measure["meaning"]
    yield ""
    yield f"Earned {measure['points']:.1f} of {measure['out_of']:.0f} points."
    if measure["steps"]:
        yield f"Points were lost at {at_steps(measure['steps'])}."
    yield ""
    for name in measure["source"]:
        yield f"Source: {guide.sources.get(name, name)}"


def known_lines(document: Document, number: int) -> Iterator[str]:
    """What was known before step `number`."""
    customer = document.get("customer", {})
    for words in customer.get("words", ()):
        yield f'- "{words}"'
    for line in customer.get("told", ()):
        yield f"- Said unasked: {line}"
    for step in document["review"][: number - 1]:
        yield f"- {_did(step)}"


def mistakes(document: Document) -> list[Mapping[str, Any]]:
    """The steps of a review that lost minutes or points, the dearest first, the same one only
    once."""
    found: dict[str, Mapping[str, Any]] = {}
    lost = {step["number"]: points_lost(document, step) for step in document["review"]}
    wrong = [
        step
        for step in document["review"]
        if step["loss"] >= WORTH_A_WORD or lost[step["number"]] >= WORTH_A_WORD
    ]
    for step in sorted(wrong, key=lambda it: (-it["loss"], -lost[it["number"]], it["number"])):
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
        stop = "" if step["did"].endswith((".", "?", "!")) else "."
        minutes = [worth_text(step)] if step["loss"] >= WORTH_A_WORD else []
        off = points_lost(document, step) - _lost_undone(document, step)  # those stand above
        points = [f"{off:.0f} points off"] if off >= WORTH_A_WORD else []
        cost = ", ".join([*minutes, *points])
        at = f"Step {step['number']}" + (f" ({cost})" if cost else "")
        yield f"{at}: {step['did']}{stop} {why}".rstrip()


def worth_text(step: Mapping[str, Any]) -> str:
    """The minutes that a step lost."""
    return f"{step['loss']:.0f} min lost" if step["loss"] >= WORTH_A_WORD else "no minute lost"


def took_text(step: Mapping[str, Any]) -> str:
    """The minutes that a step took, with what its parts count as."""
    parts = step.get("parts_minutes", 0)
    return f"{step['minutes']:.0f} min" + (f", {parts:.0f} of them for parts" if parts else "")


def chosen_text(step: Mapping[str, Any]) -> str:
    """Who chose a step, the trainee or the technician who began the case, and what it was."""
    return f"{'A technician showed' if step.get('shown') else 'You chose'}: {step['did']}"


def at_steps(numbers: Sequence[int]) -> str:
    """The numbers of some steps, "" for none."""
    named = ", ".join(map(str, numbers))
    return f"{'step' if len(numbers) == 1 else 'steps'} {named}" if numbers else ""


def choice_lines(step: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[str]:
    """What was chosen, what it gave, what the causes were after it, what it was worth, and what
    would have been better and why."""
    yield chosen_text(step)
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
    elif not step["faults"] and not step.get("shown"):
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


def leading_words(step: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """The likeliest causes before a step, with their chances, in one line."""
    return f"Likeliest then: {_likely(step['leading'], titles)}"


def after_words(step: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """The likeliest causes after a step, with their chances, in one line."""
    return f"Likeliest after it: {_likely(step.get('after', ()), titles)}"


def _likely(causes: Sequence[Mapping[str, Any]], titles: Mapping[str, str]) -> str:
    told = [
        f"{_title(item['cause'], titles)} {percent(item['probability'])}"
        for item in causes
        if item["probability"] >= _WORTH_NAMING
    ]
    return "; ".join(told) or "nothing stood out"


def _did(step: Mapping[str, Any]) -> str:
    return f"{step['did']}{' -> ' + step['result'] if step['result'] else ''}"


def _named(causes: Sequence[str], titles: Mapping[str, str]) -> str:
    return ", ".join(_title(cause, titles) for cause in causes)


def _title(cause: str, titles: Mapping[str, str]) -> str:
    return titles.get(cause, cause)
