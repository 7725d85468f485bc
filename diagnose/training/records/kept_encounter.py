"""A case for a trainee whose every step is in the store before anything else is shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.records.store.store_problems import StoreProblem
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import Scenario
from diagnose.training.play.encounter import Encounter, Taken
from diagnose.training.play.hints import Hint
from diagnose.training.play.judging import Judge
from diagnose.training.play.moves import Move
from diagnose.training.records.attempts import Attempt, AttemptBook
from diagnose.training.records.results import result_of
from diagnose.training.records.trainee_book import Trainee
from diagnose.training.records.trainee_entries import AttemptEntry, Begun, Finished, Hinted, Stepped
from diagnose.training.scoring.review import result_text
from diagnose.training.scoring.score_document import score_document
from rules.problems import BadInput


class RulesChanged(BadInput):
    """A case cannot go on: the rule base is not the one it was begun with."""


class KeptEncounter(Encounter):
    """Records to `book`. `take` and `hint` raise `StoreProblem` where that cannot be done.

    A step that could not be recorded stands in memory and is written with the next, or by `keep`.
    """

    def __init__(
        self,
        assessor: Assessor,
        guide: Guide,
        scenario: Scenario,
        book: AttemptBook,
        attempt: Attempt,
        judge: Judge | None = None,
    ) -> None:
        super().__init__(assessor, guide, scenario, attempt.begun.hints, judge)
        self.book = book
        self.attempt = attempt
        self._repeating = False
        if attempt.begun.words:
            self.customer = replace(self.customer, words=(attempt.begun.words,))

    def take(self, move: Move, *, shown: bool = False) -> Taken:
        """See `Encounter.take`; the step is on disk when this returns."""
        taken = super().take(move, shown=shown)
        self.keep()
        return taken

    def hint(self) -> Hint:
        """See `Encounter.hint`; that it was asked for is on disk before it is seen."""
        self.keep()  # what comes before it goes on disk before it
        before = self._hints
        hint = super().hint()
        if not self._repeating:
            try:
                self.attempt = self.book.append(self.attempt, [Hinted()])
            except StoreProblem:
                self._hints = before
                raise
        return hint

    def keep(self) -> None:
        """Write what is not written yet. Raises `StoreProblem`."""
        if self._repeating or self.attempt.document is not None:
            return
        rules = self.assessor.rules
        written = len(self.attempt.steps)
        rows: list[dict[str, Any]] = self.log()[written:]
        entries: list[AttemptEntry] = [
            Stepped(step=row, came=result_text(rules, taken))
            for row, taken in zip(rows, self.steps[written:], strict=True)
        ]
        result = None
        if self.finished:
            document = score_document(self)
            entries.append(Finished(document=document))
            result = result_of(rules, document)
        if entries:
            self.attempt = self.book.append(self.attempt, entries, result)

    def score_document(self) -> Mapping[str, Any]:
        """What is on record of a case that has ended, or would be if it could be written."""
        return self.attempt.document or score_document(self)

    def repeat(self, log: Sequence[Mapping[str, Any]], hints: int = 0) -> None:
        """Take the steps of a log once more and ask for so many hints, writing nothing."""
        self._repeating = True
        try:
            super().repeat(log)
            for _ in range(hints):
                self.hint()
        finally:
            self._repeating = False


def begin(
    assessor: Assessor,
    guide: Guide,
    scenario: Scenario,
    book: AttemptBook,
    trainee: Trainee,
    *,
    lesson: str | None = None,
    words: str = "",
    sitting: int | None = None,
    coach: bool = False,
    hints: bool = True,
) -> KeptEncounter:
    """A new case for a trainee. In a sitting there are no hints. Raises `StoreProblem`."""
    begun = Begun(
        pack_version=assessor.rules.info.version,
        scenario=scenario.id,
        lesson=lesson,
        sitting=sitting,
        hints=hints and sitting is None,
        coach=coach,
        words=words,
    )
    return KeptEncounter(assessor, guide, scenario, book, book.begin(trainee, begun))


def resume(
    assessor: Assessor, guide: Guide, scenario: Scenario, book: AttemptBook, attempt: Attempt
) -> KeptEncounter:
    """An attempt as it stands in the store.

    Raises `Changed` where the rule base has changed so that it would have gone otherwise.
    """
    encounter = KeptEncounter(assessor, guide, scenario, book, attempt)
    changed = RulesChanged(
        f"training case {attempt.id} was begun with a rule base that has changed since, so it "
        "cannot go on; begin anew"
    )
    if attempt.begun.pack_version != assessor.rules.info.version:
        raise changed
    try:
        encounter.repeat([step.step for step in attempt.steps], attempt.open_hints)
    except BadInput as error:
        raise changed from error
    came = [result_text(assessor.rules, taken) for taken in encounter.steps]
    if came != [step.came for step in attempt.steps]:
        raise changed
    return encounter
