"""What can be chosen where a case would close."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.records.cases.closing import Closing
from diagnose.words.case_words import asks_cause
from rules.rulebase import RuleBase

AS_IT_IS, HANDED_OVER = "close", "hand-over"
_CAUSE = "cause:"


def closing_choices(rules: RuleBase, closing: Closing) -> Iterator[tuple[str, str, str]]:
    """(key, value, label); `chosen_cause` reads the values."""
    if asks_cause(closing):
        for number, cause in enumerate(closing.candidates, 1):
            yield str(number), f"{_CAUSE}{cause}", f"Close: {rules.causes[cause].title}"
        yield "?", AS_IT_IS, "Close: nobody can tell which"
    else:
        yield "1", AS_IT_IS, "Close it"
    if closing.verdict.outcome != "handed-over":
        count = len(closing.candidates) if asks_cause(closing) else 1
        yield str(count + 1), HANDED_OVER, "Others go on with it: close it as handed over"


def chosen_cause(value: str) -> str | None:
    """The cause picked, if one was."""
    return value.removeprefix(_CAUSE) if value.startswith(_CAUSE) else None
