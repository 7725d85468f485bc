"""Plays the interview line by line."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.diagnosis import Diagnosis
from tui.plain.plain_interview import PlainInterview


def play(shop: Assessor, *lines: str) -> tuple[str, Diagnosis]:
    """Everything written, with what was typed after its prompt, until the typing runs out."""
    typed = iter(lines)
    written: list[str] = []

    def read(prompt: str) -> str:
        line = next(typed, None)
        written.append(prompt + (line or ""))
        if line is None:
            raise EOFError
        return f"{line}\n"

    interview = Diagnosis(shop)
    PlainInterview(interview, read, written.append).run()
    return "\n".join(written), interview
