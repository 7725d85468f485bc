"""Why a step is next: what the planner found, as ids and figures. `diagnose.words` says it.

Chances are shares from 0 to 1, times are minutes.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NoComplaintYet:
    """Nothing has been complained of."""


@dataclass(frozen=True, slots=True)
class Proven:
    """A ride has reported every complaint gone."""


@dataclass(frozen=True, slots=True)
class RideDue:
    """Something was put right and has not been ridden since."""


@dataclass(frozen=True, slots=True)
class SameRide:
    """The ride has told about one complaint and is to tell about another."""


@dataclass(frozen=True, slots=True)
class AnswersClash:
    """The rule of this id found answers that cannot all be true. `check` are the observations to
    make again, in the order worth making them."""

    rule: str
    check: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MayClear:
    """A short question or look that may make a long look for danger, at this observation, needless
    before anybody rides."""

    look: str


@dataclass(frozen=True, slots=True)
class MayForbid:
    """A look that is likely enough to show what forbids riding comes first."""

    chance: float


@dataclass(frozen=True, slots=True)
class Dangerous:
    """What is dangerous to ride with is likely enough to be looked for first.

    `cause` is the likeliest of what the check can show; `together` is the chance that any of it is
    there.
    """

    cause: str
    chance: float
    together: float


@dataclass(frozen=True, slots=True)
class NotSafe:
    """The rule of this id forbids riding.

    `unseen` says that something was put right since and nobody could say whether that helped;
    `beyond` is the correction that is as good as surely needed and not done here, if there is one.
    """

    rule: str
    unseen: bool
    beyond: str = ""


@dataclass(frozen=True, slots=True)
class FoundUnsafe:
    """A fault was found with which nobody should ride."""

    cause: str


@dataclass(frozen=True, slots=True)
class FoundToo:
    """The complaints are gone; this was found as well and is not put right."""

    minutes: float


@dataclass(frozen=True, slots=True)
class FoundMeanwhile:
    """Nobody may ride, and what forbids it cannot be put right now; this was found as well."""

    chance: float
    minutes: float


@dataclass(frozen=True, slots=True)
class LookAgain:
    """The rule of this id forbade riding before the latest work."""

    rule: str


@dataclass(frozen=True, slots=True)
class LookAfter:
    """Whether this correction, done since the latest ride, has helped can be seen before a ride."""

    correction: str


@dataclass(frozen=True, slots=True)
class RiddenSince:
    """The rule of this id forbids riding again: what lifted it was seen before the latest ride."""

    rule: str


@dataclass(frozen=True, slots=True)
class AskedFirst:
    """A question that the pack asks before any other of this complaint."""

    complaint: str


@dataclass(frozen=True, slots=True)
class GoesWith:
    """It goes with a reading made already, of this observation: only the two together tell."""

    made: str


@dataclass(frozen=True, slots=True)
class Saves:
    """An observation is expected to save more time than it takes.

    `causes` are the likeliest of those it weighs on, none where it weighs on no open cause.
    """

    minutes: float
    saved: float
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MayComeTo:
    """A check of what the first correction of the plan would put right."""

    correction: str
    chance: float


@dataclass(frozen=True, slots=True)
class CountedAgain:
    """The count of this observation shows a cause whose opposite was likelier by all else that is
    known, as a count from the wrong end would."""

    observation: str
    cause: str
    opposite: str


@dataclass(frozen=True, slots=True)
class Needed:
    """A correction is likely to be needed.

    `settled` says that it is so likely that checking more would not pay; otherwise no check that is
    left does.
    """

    chance: float
    minutes: float
    settled: bool


@dataclass(frozen=True, slots=True)
class BestGuess:
    """Whoever asks took the likeliest correction of the plan before anything shows that it is
    needed; the likeliest cause that it puts right."""

    cause: str
    chance: float


@dataclass(frozen=True, slots=True)
class SettlesMost:
    """Whoever asks took the check that is likeliest to settle a suspect, and that suspect."""

    cause: str
    chance: float


@dataclass(frozen=True, slots=True)
class AlsoOff:
    """Another setting that was found off, set before the same ride."""

    chance: float
    minutes: float


@dataclass(frozen=True, slots=True)
class BeforeGivingUp:
    """A check of a suspect that is still open, made before the bike is handed over. `share` is its
    chance if any listed cause is behind what is still felt."""

    cause: str
    share: float


@dataclass(frozen=True, slots=True)
class OneRideMore:
    """What was put right most likely was the trouble, though the ride after it said otherwise."""

    cause: str
    chance: float


@dataclass(frozen=True, slots=True)
class NothingPays:
    """All that is left costs more than it can save; the likeliest cause, and that none is left."""

    cause: str
    chance: float
    nothing_listed: float


@dataclass(frozen=True, slots=True)
class NothingFound:
    """Nothing is wrong, as far as was looked: the observations made at the bike, in order."""

    looked: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotDoneHere:
    """What is as good as surely needed is not done by who asks."""

    correction: str
    chance: float


@dataclass(frozen=True, slots=True)
class OutsideFirst:
    """A cause outside of the closed units is still open, so nothing is opened yet.

    `besides` is why the step that stands in is worth taking, None where only this speaks for it.
    """

    cause: str
    besides: Reason | None


Reason = (
    NoComplaintYet
    | Proven
    | RideDue
    | SameRide
    | AnswersClash
    | Dangerous
    | MayClear
    | MayForbid
    | NotSafe
    | FoundUnsafe
    | FoundToo
    | FoundMeanwhile
    | LookAfter
    | LookAgain
    | RiddenSince
    | AskedFirst
    | GoesWith
    | Saves
    | MayComeTo
    | CountedAgain
    | Needed
    | BestGuess
    | SettlesMost
    | AlsoOff
    | BeforeGivingUp
    | OneRideMore
    | NothingPays
    | NothingFound
    | NotDoneHere
    | OutsideFirst
)
