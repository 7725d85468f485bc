"""Which cautions of a case stand in full, and which were read at a step before."""

from __future__ import annotations

from dataclasses import replace

from diagnose.advice.planning import Step
from diagnose.words.chances import counted
from diagnose.words.step_words import StepText


class CautionsOnce:
    """Each caution stands in full at the step that needs it first, afterwards it is counted.

    A caution counts as read once the step that showed it is left for another one; going back to
    that step shows it in full again, unless it was read on a page of its own.
    """

    def __init__(self) -> None:
        self._first: dict[str, str | None] = {}
        """The step that showed each in full first; None for a page of its own."""

    @property
    def texts(self) -> frozenset[str]:
        """The cautions that were shown in full."""
        return frozenset(self._first)

    def fold(self, step: str, words: StepText) -> tuple[StepText, str]:
        """The words of a step with only the cautions that are new there, and a line for the others
        such as `2 cautions: v`; empty where there are none. `step` tells steps apart."""
        new = tuple(text for text in words.cautions if self._first.get(text, step) == step)
        before = len(words.cautions) - len(new)
        return replace(words, cautions=new), as_before(before)

    def read(self, step: str, words: StepText) -> None:
        """Count the cautions of a step as shown there in full, unless they were before."""
        for text in words.cautions:
            self._first.setdefault(text, step)

    def read_apart(self, words: StepText) -> None:
        """Count the cautions of a step as read on a page of their own, before the step."""
        self._first.update(dict.fromkeys(words.cautions))


def place_of(step: Step) -> str:
    """What tells a step from others: what it is about, and apart from that the ride after it."""
    return f"ride {step.target}" if step.kind == "confirm" else step.target


def as_before(count: int) -> str:
    """`2 cautions: v`, the key that shows them; empty for none."""
    return f"{counted(count, 'caution')}: v" if count else ""


def only_cautions(words: StepText) -> StepText:
    """The cautions of a step without how it is done, to be read before it."""
    return replace(words, how=(), tools=(), note="", picture="")


def read_first(label: str, words: StepText) -> str:
    """What stands over cautions that are read before the step `label`."""
    return f"{label} · read first: {counted(len(words.cautions), 'caution')}"
