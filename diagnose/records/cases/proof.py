"""Whether rides proved a correction. Each complaint is proven by itself, and only one change at a
time can be proven."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from diagnose.case.events import Case, Complained, Ride, RideReport, Standing, standing
from diagnose.inference.evidence import nodes_of
from diagnose.records.cases.case_title import complaint_title
from rules.rulebase import RuleBase

Outcome = Literal[
    "proven",
    "proven-together",
    "improved",
    "not-proven",
    "handed-over",
    "not-separable",
    "left-as-it-is",
]
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)
SHARED = "The credit is shared between them."
"""Said where more than one thing was put right on the way to the proof."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a case closes as, the correction that is proven or blamed, and why.

    `proven` has every correction that rides have proven by itself: with several complaints there
    can be one for each. `correction` is the first of them. `helped` has what was put right on the
    way, in the order it was done, where that is more than one thing.
    """

    outcome: Outcome
    correction: str | None
    why: str
    proven: tuple[str, ...] = ()
    helped: tuple[str, ...] = ()


def judge(
    rules: RuleBase, case: Case, changed_besides: Sequence[str] = (), handed_over: bool = False
) -> Verdict:
    """The verdict of the rides. `changed_besides` has the titles of what else was changed before
    the last ride."""
    now = standing(case)
    last = now.corrections[-1] if now.corrections else None
    if handed_over:
        return Verdict("handed-over", last, "Handed to a specialist.")
    if last is None:
        return Verdict("left-as-it-is", None, _left(rules, now))
    if not now.is_ridden:
        return Verdict("not-proven", last, "It has not been ridden since the last correction.")
    if now.due:
        return Verdict("not-proven", last, "Not every complaint was asked about after the ride.")
    helped = now.rides[-1].report in ("better", "gone")
    if not all(_about(now, complaint) for complaint in now.still_felt):
        why = "Since then the rider complains of something more, which no ride has settled."
        return Verdict("improved" if helped else "not-proven", last, why)
    verdicts = {
        complaint_title(rules, complaint): _judge_rides(rules, rides, changed_besides, last)
        for complaint in now.complaints
        if (rides := _about(now, complaint))
    }
    return _together(verdicts, last)


def helped(rules: RuleBase, case: Case) -> dict[str, RideReport]:
    """The corrections after which a ride was better or gone, in the order they were done, each with
    the best that the rides after it say of any complaint."""
    now = standing(case)
    found: dict[str, RideReport] = {}
    for complaint in now.complaints:
        for name, report in _helped(rules, _about(now, complaint)).items():
            found[name] = "gone" if "gone" in (report, found.get(name)) else report
    return {name: found[name] for name in dict.fromkeys(now.corrections) if name in found}


def _left(rules: RuleBase, now: Standing) -> str:
    """Why nothing was put right, as far as it was said."""
    declined = "; ".join(_title(rules, name) for name in sorted(now.declined))
    return f"Nothing was put right. Declined: {declined}." if declined else "Nothing was put right."


def _about(now: Standing, complaint: Complained) -> list[Ride]:
    return [ride for ride in now.rides if ride.about == complaint]


def _together(verdicts: Mapping[str, Verdict], last: str) -> Verdict:
    """The verdict on all complaints (by title): proven only where each is gone."""
    if len(verdicts) == 1:
        return next(iter(verdicts.values()))
    each = " ".join(f"{title}: {_as_a_part(one.why)}" for title, one in verdicts.items())
    gone: tuple[Outcome, ...] = ("proven", "proven-together", "not-separable")
    if not all(verdict.outcome in gone for verdict in verdicts.values()):
        helped = any(verdict.outcome != "not-proven" for verdict in verdicts.values())
        why = f"Not every complaint is gone. {each}"
        return Verdict("improved" if helped else "not-proven", last, why)
    best = min(verdicts.values(), key=lambda verdict: OUTCOMES.index(verdict.outcome))
    proven = dict.fromkeys(name for verdict in verdicts.values() for name in verdict.proven)
    shared = dict.fromkeys(name for verdict in verdicts.values() for name in verdict.helped)
    return Verdict(best.outcome, best.correction, each, tuple(proven), tuple(shared))


def _as_a_part(why: str) -> str:
    return why[:1].lower() + why[1:]


def _judge_rides(
    rules: RuleBase, rides: Sequence[Ride], besides: Sequence[str], last: str
) -> Verdict:
    """The verdict on one complaint, from the rides about it."""
    done, reports = _changes(rules, rides)[-1]
    report = reports[-1]
    changes = len(done) + len(besides)
    again = any(earlier in ("same", "worse") for earlier in reports[:-1])
    correction = done[-1] if done else last
    if not done or report in ("same", "worse"):
        why = f"The ride after it: {report}." if done else "Nothing was changed before the ride."
        return Verdict("not-proven", correction, why)
    if changes > 1:
        named = f" (besides the correction: {'; '.join(besides)})" if besides else ""
        why = f"{changes} things were changed before one ride{named}; which of them did it is open."
        settings = not besides and all(rules.corrections[name].setting for name in done)
        if settings and report == "gone" and not again:
            return Verdict("proven-together", None, f"Settings were brought back together. {why}")
        return Verdict("not-separable", None, why)
    if again:
        why = "It went on after the correction and stopped later with nothing more changed."
        return Verdict("not-proven", correction, why)
    if report == "better":
        return Verdict("improved", correction, "Better, but not gone.")
    helped = _helped(rules, rides)
    why = f"{_title(rules, correction)}, and the ride after it: gone."
    shared = tuple(helped) if len(helped) > 1 else ()
    if shared:
        told = "; ".join(
            f"{number} {_title(rules, name)}, and the ride after it: {report}"
            for number, (name, report) in enumerate(helped.items(), 1)
        )
        why = f"{len(helped)} things were put right, one after the other ({told}). {SHARED}"
    return Verdict("proven", correction, why, (correction,), shared)


def _title(rules: RuleBase, correction: str) -> str:
    entry = rules.corrections.get(correction)
    return entry.title if entry is not None else correction


def _changes(
    rules: RuleBase, rides: Sequence[Ride]
) -> list[tuple[tuple[str, ...], list[RideReport]]]:
    """What was changed before rides about one complaint, with what each ride on that change
    reported, in order. Of several changes only those count that can bear on the complaint, where
    any does."""
    made: list[tuple[tuple[str, ...], list[RideReport]]] = []
    for ride in rides:
        done = ride.corrected[len(ride.before) :]
        if done and ride.about is not None:
            nodes = set(nodes_of(rules, ride.about))
            able = {
                rules.causes[link.cause].correction for link in rules.links if link.node in nodes
            }
            made.append((tuple(name for name in done if name in able) or done, [ride.report]))
        elif made:
            made[-1][1].append(ride.report)
        else:
            made.append(((), [ride.report]))
    return made


def _helped(rules: RuleBase, rides: Sequence[Ride]) -> dict[str, RideReport]:
    return {
        name: reports[-1]
        for done, reports in _changes(rules, rides)
        for name in done
        if all(report in ("better", "gone") for report in reports)
    }
