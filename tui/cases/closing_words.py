"""How a case would close, in words, and what can be chosen."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.closing import Closing
from rules.rulebase import RuleBase

AS_IT_IS, HANDED_OVER = "close", "hand-over"
_CAUSE = "cause:"


def closing_title(kept: KeptCase, closing: Closing) -> str:
    """What it would close as."""
    return f"Case {kept.id} closes as: {closing.verdict.outcome}"


def closing_text(rules: RuleBase, closing: Closing) -> Iterator[str]:
    """Why, and what is taken for the cause."""
    yield closing.verdict.why
    if closing.cause is not None:
        yield f"Cause: {rules.causes[closing.cause].title}."
    elif _asks_cause(closing):
        yield "The correction fits several causes. Which of them was it?"
    if closing.verdict.outcome != "proven":
        yield "Nothing is learned from it. Escape leaves the case open."


def closing_choices(rules: RuleBase, closing: Closing) -> Iterator[tuple[str, str, str]]:
    """(key, value, label); `chosen_cause` reads the values."""
    if _asks_cause(closing):
        for number, cause in enumerate(closing.candidates, 1):
            yield str(number), f"{_CAUSE}{cause}", f"Close: {rules.causes[cause].title}"
        yield "?", AS_IT_IS, "Close: nobody can tell which"
    else:
        yield "1", AS_IT_IS, "Close it"
    if closing.verdict.outcome != "handed-over":
        yield "h", HANDED_OVER, "It goes to a specialist: close it as handed over"


def chosen_cause(value: str) -> str | None:
    """The cause picked, if one was."""
    return value.removeprefix(_CAUSE) if value.startswith(_CAUSE) else None


def _asks_cause(closing: Closing) -> bool:
    return (
        closing.verdict.outcome == "proven"
        and closing.cause is None
        and 1 < len(closing.candidates) <= 9
    )
