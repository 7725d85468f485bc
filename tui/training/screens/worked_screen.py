"""A case that a technician works, step by step with the why, to its very end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from diagnose.training.words.review_words import example_end, took_text, worked_lines
from tui.training.screens.review_screen import ReviewScreen


class WorkedScreen(ReviewScreen):
    """Returns True once it was gone through to the end; leaving it before returns None."""

    def __init__(self, document: Mapping[str, Any], titles: Mapping[str, str], title: str) -> None:
        super().__init__(document, titles)
        self._title = title

    def heading(self, step: Mapping[str, Any]) -> str:
        """The case, which step it is, and what it took."""
        at = f"step {step['number']} of {len(self._document['review'])}, {took_text(step)}"
        return f"A technician at work. {self._title}: {at}"

    def told(self, step: Mapping[str, Any]) -> Iterator[str]:
        """What the technician does and finds, and why; at the end what it comes to."""
        yield from worked_lines(step, self._titles)
        if step["number"] == len(self._document["review"]):
            yield ""
            yield from example_end(self._document, self._titles)

    def end(self) -> None:
        """The example has been seen."""
        self.dismiss(True)
