"""Whether a ride proved a correction. Only one change at a time can be proven."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.case.events import Case, Ride, standing

Outcome = Literal["proven", "improved", "not-proven", "handed-over", "not-separable"]
OUTCOMES: tuple[Outcome, ...] = (
    "proven", "improved", "not-proven", "handed-over", "not-separable",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a case closes as, the correction that is proven or blamed, and why."""

    outcome: Outcome
    correction: str | None
    why: str
    done: tuple[str, ...] = ()


def judge(case: Case, changed_besides: Sequence[str] = (), handed_over: bool = False) -> Verdict:
    """The verdict of the rides. `changed_besides` has the titles of what else was changed before
    the last ride."""
    now = standing(case)
    last = now.corrections[-1] if now.corrections else None
    if handed_over:
        return Verdict("handed-over", last, "Handed to a specialist.")
    if last is None:
        return Verdict("not-proven", None, "Nothing was put right.")
    if now.ride_due or not now.rides:
        return Verdict("not-proven", last, "It has not been ridden since the last correction.")
    if now.unsettled:
        why = "Since then the rider complains of something more, which no ride has settled."
        return Verdict(
            "improved" if now.rides[-1].report in ("better", "gone") else "not-proven", last, why
        )
    return _judge_rides(now.rides, changed_besides, last)


def _judge_rides(rides: Sequence[Ride], besides: Sequence[str], last: str) -> Verdict:
    done, reports = _last_change(rides)
    report = reports[-1]
    changes = len(done) + len(besides)
    again = any(earlier in ("same", "worse") for earlier in reports[:-1])
    outcome: Outcome = "not-proven"
    if not done:
        why = "Nothing was changed before the ride."
    elif report in ("same", "worse"):
        why = f"The ride after it: {report}."
    elif changes > 1:
        outcome = "not-separable"
        named = f" (besides the correction: {'; '.join(besides)})" if besides else ""
        why = f"{changes} things were changed before one ride{named}; which of them did it is open."
    elif again:
        why = "It went on after the correction and stopped later with nothing more changed."
    elif report == "better":
        outcome, why = "improved", "Better, but not gone."
    else:
        outcome, why = "proven", "One thing was put right, and the ride after it: gone."
    correction = None if outcome == "not-separable" else (done[-1] if done else last)
    return Verdict(outcome, correction, why, done)


def _last_change(rides: Sequence[Ride]) -> tuple[tuple[str, ...], list[str]]:
    """What was changed before the last rides that share it, and what they reported."""
    reports: list[str] = []
    for ride in reversed(rides):
        reports.insert(0, ride.report)
        done = ride.corrected[len(ride.before) :]
        if done:
            return done, reports
    return (), reports
