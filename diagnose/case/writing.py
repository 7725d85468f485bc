"""Write a case as a case file that `diagnose.case.files` reads back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import yaml

from diagnose.case.events import (
    CANNOT_HERE,
    DONT_KNOW,
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Declined,
    Insisted,
    Noted,
    Rode,
    Told,
    standing,
)
from rules.units.quantities import Quantity
from rules.yaml_source import MAX_TEXT

VERSION = 1
_LONGEST_NOTE = 600


def case_yaml(case: Case, title: str = "") -> tuple[str, tuple[str, ...]]:
    """The case as YAML, and what a case file cannot hold of it, in plain words.

    A case file keeps the latest answer of each stage; complaints stand before all answers. Raises
    `ValueError` for a case without a complaint, which cannot be a case file.
    """
    body: dict[str, Any] = {"case": VERSION}
    if title:
        body["title"] = title
    if case.machine:
        body["machine"] = dict(case.machine)
    if case.targets:
        body["targets"] = {name: _figure(value) for name, value in case.targets.items()}
    complaints = [e.key for e in case.events if isinstance(e, Complained)]
    if not complaints:
        raise ValueError("a case file needs a complaint")
    told = "\n\n".join(e.text for e in case.events if isinstance(e, Told))
    if told:
        body["story"] = told[:MAX_TEXT]
        body["heard"] = True
    if person := standing(case).person:
        body["person"] = person
    body["complaints"] = list(dict.fromkeys(complaints))
    stages, notes, left_out = _stages(case)
    if stages[0].get("answers"):
        body["answers"] = stages[0]["answers"]
    if len(stages) > 1:
        body["afterwards"] = stages[1:]
    if notes:
        note = " / ".join(notes)
        body["note"] = note[:_LONGEST_NOTE]
        if len(note) > _LONGEST_NOTE:
            left_out.append(f"notes beyond the first {_LONGEST_NOTE} letters")
    if len(told) > MAX_TEXT:
        left_out.append(f"the rider's words beyond the first {MAX_TEXT} letters")
    text = yaml.safe_dump(body, sort_keys=False, allow_unicode=True, width=100)
    return text, tuple(left_out)


def no_place_for(left_out: Sequence[str]) -> str:
    """What a case file leaves out, as a sentence; empty where it leaves out nothing."""
    return f"A case file has no place for: {'; '.join(left_out)}." if left_out else ""


def _stages(case: Case) -> tuple[list[dict[str, Any]], list[str], list[str]]:
    """Answers before the first correction, then each correction with its ride and answers."""
    stages: list[dict[str, Any]] = [{}]
    notes: list[str] = []
    left_out: list[str] = []
    now = standing(case)
    asked_about = (ride.about.key if ride.about else "" for ride in now.rides)
    for event in case.events:
        match event:
            case Answered(observation=name):
                stages[-1].setdefault("answers", {}).pop(name, None)
                stages[-1]["answers"][name] = _answer(event)
            case Corrected(correction=name):
                stages.append({"correction": name})
            case Rode(report=report):
                about = next(asked_about)
                ridden = stages[-1].setdefault("ride", {}) if len(stages) > 1 else {about: ""}
                if about in ridden:
                    left_out.append(f"a ride ({report}) with no correction before it")
                else:
                    ridden[about] = report
            case Noted(text=text):
                notes.append(text)
            case Declined(correction=name):
                left_out.append(f"that {name} could not be done here")
            case Insisted(rule=name):
                left_out.append(f"that the answers of {name} were checked and stand")
            case Complained() | Told() | Asking():
                pass
    for stage in stages if len(now.complaints) == 1 else ():
        if "ride" in stage:
            (stage["ride"],) = stage["ride"].values()
    return stages, notes, left_out


def _answer(event: Answered) -> str:
    if event.reading is not None:
        return _figure(event.reading)
    if event.state is not None:
        return event.state
    return CANNOT_HERE if event.cannot_here else DONT_KNOW


def _figure(quantity: Quantity) -> str:
    value = float(quantity.value)
    digits = f"{value:.12f}".rstrip("0").rstrip(".") if abs(value) < 1e12 else repr(value)
    return f"{digits} {quantity.unit}".strip()
