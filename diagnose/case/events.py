"""A case as a list of events, and what follows from that list."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from rules.language.schema import Observation
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity, Quantity, parse_quantity
from rules.yaml_source import suggest

RideReport = Literal["gone", "better", "same", "worse"]
RIDE_REPORTS: tuple[RideReport, ...] = ("gone", "better", "same", "worse")


@dataclass(frozen=True, slots=True)
class Complained:
    """The rider complains of this; `place` is None where they cannot say which end."""

    complaint: str
    place: str | None = None

    @property
    def key(self) -> str:
        """`harsh/front`, or `harsh` where the place is not known."""
        return f"{self.complaint}/{self.place}" if self.place else self.complaint


@dataclass(frozen=True, slots=True)
class Answered:
    """An observation was made: a state or a reading, or neither for 'don't know'."""

    observation: str
    state: str | None = None
    reading: Quantity | None = None
    cannot_here: bool = False

    @property
    def is_known(self) -> bool:
        """Whether there is a state or a reading, rather than 'don't know'."""
        return self.state is not None or self.reading is not None


@dataclass(frozen=True, slots=True)
class Corrected:
    """A correction was carried out."""

    correction: str


@dataclass(frozen=True, slots=True)
class Declined:
    """A correction will not or cannot be carried out here."""

    correction: str


@dataclass(frozen=True, slots=True)
class Rode:
    """What the rider reported of one complaint, after a ride. `about` is the key of the complaint,
    empty for the one that the ride was due for (`Standing.asks_about`)."""

    report: RideReport
    about: str = ""


@dataclass(frozen=True, slots=True)
class Insisted:
    """The answers that this rule finds contradictory were checked and stand."""

    rule: str


@dataclass(frozen=True, slots=True)
class Told:
    """The rider's own words, letter for letter. What they come to stands in events of its own, once
    they are `heard`; the story of a case file may be still to be listened to."""

    text: str
    heard: bool = True


@dataclass(frozen=True, slots=True)
class Noted:
    """A note in free words."""

    text: str


@dataclass(frozen=True, slots=True)
class Asking:
    """Who asks from here on, by an id of the pack's `people`."""

    person: str


Event = Complained | Answered | Corrected | Declined | Rode | Insisted | Told | Noted | Asking


@dataclass(frozen=True, slots=True)
class Case:
    """A bike and everything that happened, oldest first. Never changed: methods give a new case."""

    machine: Mapping[str, str] = field(default_factory=dict)
    targets: Mapping[str, Quantity] = field(default_factory=dict)
    events: tuple[Event, ...] = ()

    def with_event(self, event: Event) -> Case:
        """This case with one more event."""
        return Case(self.machine, self.targets, (*self.events, event))

    def without_last(self) -> Case:
        """This case before its latest event; itself where there is none."""
        return Case(self.machine, self.targets, self.events[:-1]) if self.events else self

    def on_machine(self, machine: Mapping[str, str], targets: Mapping[str, Quantity]) -> Case:
        """This case on another bike, with the same events."""
        return Case(dict(machine), dict(targets), self.events)


@dataclass(frozen=True, slots=True)
class Ride:
    """A ride: the corrections done by this ride (`corrected`) and by the one before it about the
    same complaint (`before`), and what the rider reported of the complaint it is `about`."""

    before: tuple[str, ...]
    corrected: tuple[str, ...]
    report: RideReport
    about: Complained | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """What follows from the events of a case.

    `still_felt` are the complaints that no ride has reported gone. `due` are those that a ride is
    to be asked about now, since something was put right after they were last spoken of; where all
    are gone and something more was put right, the first complaint. A complaint that comes up again
    after it was gone is as a ride that reports the same. `answers` holds the latest answer per
    observation, `known_before` the latest known one where that is "don't know"; `corrected_by`
    which corrections had been carried out when the latest was given, `ridden_by` how many rides had
    been told of. `person` is who asks, empty
    where nobody said.
    """

    complaints: tuple[Complained, ...]
    still_felt: tuple[Complained, ...]
    due: tuple[Complained, ...]
    answers: Mapping[str, Answered]
    known_before: Mapping[str, Answered]
    corrected_by: Mapping[str, tuple[str, ...]]
    ridden_by: Mapping[str, int]
    corrections: tuple[str, ...]
    declined: frozenset[str]
    rides: tuple[Ride, ...]
    insisted: frozenset[str]
    person: str = ""

    @property
    def ride_due(self) -> bool:
        """Whether something was put right that no ride has told about yet."""
        return bool(self.due)

    @property
    def is_ridden(self) -> bool:
        """Whether there was a ride since the latest correction."""
        return bool(self.rides) and self.rides[-1].corrected == self.corrections

    @property
    def is_proven(self) -> bool:
        """Whether a ride since the latest correction has left no complaint."""
        return self.is_ridden and not self.still_felt

    def done_since(self, observation: str) -> tuple[str, ...]:
        """The corrections carried out since the latest answer to an observation, which has one."""
        return self.corrections[len(self.corrected_by[observation]) :]

    @property
    def asks_about(self) -> Complained | None:
        """The complaint that the next report of a ride is about."""
        return next(iter(self.asked), None)

    @property
    def asked(self) -> tuple[Complained, ...]:
        """The complaints that a ride now is asked about: those due, else the first still felt, else
        the first."""
        return _asked(self.due, self.still_felt, self.complaints)

    def told(self, report: RideReport, about: Complained | None) -> Rode:
        """A report about a complaint, which is named only where there are several."""
        return Rode(report, about.key if about and len(self.complaints) > 1 else "")


@dataclass(frozen=True, slots=True)
class _Spoken:
    """Where one complaint stands: the corrections when it was last spoken of, and whether a ride
    has reported it gone since it was raised."""

    corrected: tuple[str, ...]
    is_gone: bool = False


def standing(case: Case) -> Standing:
    """What follows from the events of `case`, taken in order."""
    complaints: dict[Complained, _Spoken] = {}
    answers: dict[str, Answered] = {}
    known: dict[str, Answered] = {}
    corrected_by: dict[str, tuple[str, ...]] = {}
    ridden_by: dict[str, int] = {}
    corrections: tuple[str, ...] = ()
    rides: list[Ride] = []
    insisted: set[str] = set()
    declined: set[str] = set()
    person = ""
    for event in case.events:
        match event:
            case Complained():
                if event in complaints and complaints[event].is_gone:
                    rides.append(Ride(complaints[event].corrected, corrections, "same", event))
                complaints[event] = _Spoken(corrections)
            case Answered(observation=name):
                answers.pop(name, None)
                answers[name] = event
                if event.is_known:
                    known[name] = event
                corrected_by[name] = corrections
                ridden_by[name] = len(rides)
            case Corrected(correction=name):
                corrections = (*corrections, name)
            case Declined(correction=name):
                declined.add(name)
            case Rode(report=report, about=key):
                due = _due(complaints, corrections, rides)
                named = [c for c in complaints if c.key == key]
                meant = named if key else _asked(due, _felt(complaints), tuple(complaints))
                about = next(iter(meant), None)
                before = complaints[about].corrected if about else ()
                rides.append(Ride(before, corrections, report, about))
                if about:
                    complaints[about] = _Spoken(corrections, report == "gone")
            case Insisted(rule=name):
                insisted.add(name)
            case Asking(person=name):
                person = name
            case Told() | Noted():
                pass
    return Standing(
        tuple(complaints),
        _felt(complaints),
        _due(complaints, corrections, rides),
        answers,
        {
            name: known[name]
            for name, said in answers.items()
            if name in known and not said.is_known
        },
        corrected_by,
        ridden_by,
        corrections,
        frozenset(declined),
        tuple(rides),
        frozenset(insisted),
        person,
    )


def _due(
    complaints: Mapping[Complained, _Spoken],
    corrections: tuple[str, ...],
    rides: Sequence[Ride],
) -> tuple[Complained, ...]:
    # corrections are only ever added, so as many are the same ones
    many = len(corrections)
    due = tuple(c for c in _felt(complaints) if len(complaints[c].corrected) != many)
    ridden = rides[-1].corrected if rides else ()
    return due or (tuple(complaints)[:1] if len(ridden) != many else ())


def _felt(complaints: Mapping[Complained, _Spoken]) -> tuple[Complained, ...]:
    return tuple(complaint for complaint, spoken in complaints.items() if not spoken.is_gone)


def _asked(
    due: tuple[Complained, ...], felt: tuple[Complained, ...], complaints: tuple[Complained, ...]
) -> tuple[Complained, ...]:
    return due or (felt or complaints)[:1]


def shared_start(old: Sequence[Event], new: Sequence[Event]) -> int:
    """How many events stand at the start of both."""
    pairs = enumerate(zip(old, new, strict=False))
    return next((n for n, (one, other) in pairs if one != other), min(len(old), len(new)))


class BadFact(BadInput):
    """A fact that does not fit the pack; the message says what would."""


def read_complaint(rules: RuleBase, text: str) -> Complained:
    """`harsh/front` or `harsh` as an event. Raises `BadFact`."""
    name, slash, place = text.partition("/")
    complaint = rules.complaints.get(name)
    if complaint is None:
        raise BadFact(f"{name!r} is not a complaint{suggest(name, list(rules.complaints))}")
    if slash and place not in complaint.places:
        places = ", ".join(complaint.places) or "no places"
        raise BadFact(f"{name!r} has {places}, not {place!r}")
    return Complained(name, place or None)


DONT_KNOW = "dont-know"
CANNOT_HERE = "cannot-here"


def brought_by(rules: RuleBase, answers: Sequence[Answered]) -> Iterator[Answered]:
    """What is so because a yes among `answers` brings it, unless one of them speaks of it."""
    named = {answer.observation for answer in answers}
    for answer in answers:
        entry = rules.observations.get(answer.observation)
        for name in entry.brings if entry is not None and answer.state == "yes" else ():
            if name not in named:
                yield Answered(name, "yes")


def read_answer(rules: RuleBase, observation: str, text: str) -> Answered:
    """An answer as a person writes it. Raises `BadFact` saying what would be accepted."""
    entry = rules.observations.get(observation)
    if entry is None:
        hint = suggest(observation, list(rules.observations))
        raise BadFact(f"{observation!r} is not an observation{hint}")
    word = text.strip()
    if word in (DONT_KNOW, "?"):
        return Answered(observation)
    if word == CANNOT_HERE:
        return Answered(observation, cannot_here=True)
    if entry.kind != "measurement":
        state = word.lower().replace(" ", "-")
        if state not in entry.states:
            accepted = ", ".join([*entry.states, DONT_KNOW])
            raise BadFact(f"{text!r} is not an answer; give one of {accepted}")
        return Answered(observation, state=state)
    for words, state in entry.in_words.items():
        if word.lower() in (words.lower(), state):
            return Answered(observation, state=state)
    assert entry.unit is not None
    try:
        reading = parse_quantity(word, entry.unit)
    except BadQuantity as error:
        if entry.counted is None:
            raise
        raise BadFact(f"{error}; give one number of {entry.unit}, {entry.counted}") from error
    _within_limits(entry, reading, "a reading")
    return Answered(observation, reading=reading)


def _within_limits(entry: Observation, quantity: Quantity, what: str) -> None:
    assert entry.unit is not None and entry.limits is not None
    low, high = (parse_quantity(limit, entry.unit) for limit in entry.limits)
    if not low.to(entry.unit).value <= quantity.to(entry.unit).value <= high.to(entry.unit).value:
        raise BadFact(f"{quantity} cannot be right; {what} lies between {low} and {high}")


def read_trait(rules: RuleBase, trait: str, option: str) -> tuple[str, str]:
    """A trait of the bike and its option. Raises `BadFact` for one that is not in the rule base."""
    entry = rules.traits.get(trait)
    if entry is None:
        raise BadFact(f"{trait!r} is not a trait of a bike{suggest(trait, list(rules.traits))}")
    if option not in entry.options:
        raise BadFact(f"{option!r} is not one of {', '.join(entry.options)}")
    return trait, option


def read_person(rules: RuleBase, person: str) -> Asking:
    """A kind of person who asks. Raises `BadFact` for one that the pack does not know."""
    people = rules.policy.people
    if person not in people:
        known = ", ".join(people) or "none in this pack"
        raise BadFact(f"{person!r} is not a kind of person{suggest(person, list(people))}: {known}")
    return Asking(person)


def read_target(rules: RuleBase, spec: str, text: str) -> tuple[str, Quantity]:
    """A figure from the bike's manual. Raises `BadFact`, also where it could not be measured."""
    entry = rules.specs.get(spec)
    if entry is None:
        raise BadFact(f"{spec!r} is not a target{suggest(spec, list(rules.specs))}")
    figure = parse_quantity(text, entry.unit)
    for observation in rules.observations.values():
        if observation.target == spec:
            _within_limits(observation, figure, "it")
    return spec, figure


def machine_traits(rules: RuleBase, case: Case) -> dict[str, str]:
    """The option of every trait of a bike, as told in the case, as given or by default."""
    given = {key: case.machine.get(key, trait.default) for key, trait in rules.traits.items()}
    return given | told_traits(rules, case)


def told_traits(rules: RuleBase, case: Case) -> dict[str, str]:
    """What answers say of traits that the bike was given with their kind left open."""
    told: dict[str, str] = {}
    for event in case.events:
        if isinstance(event, Answered) and event.state is not None:
            entry = rules.observations.get(event.observation)
            if entry is not None and entry.tells is not None:
                default = rules.traits[entry.tells].default
                if case.machine.get(entry.tells, default) == entry.normal:
                    told[entry.tells] = event.state
    return told
