"""What a pack may say, as frozen models. Meaning is checked in `loading.references`, shape here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)

from rules.units.quantities import Quantity, parse_quantity, unit_kind

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(?:-[a-z0-9]+)*$", max_length=60)]
NodeId = Annotated[
    str, StringConstraints(pattern=r"^[a-z0-9]+(?:-[a-z0-9]+)*(?:/[a-z0-9-]+)?$", max_length=90)
]
Text = Annotated[str, StringConstraints(min_length=1, max_length=600, strip_whitespace=True)]
Line = Annotated[str, StringConstraints(min_length=1, max_length=200, strip_whitespace=True)]


def one_or_many(value: Any) -> Any:
    """One word as a tuple of one, and a YAML list as a tuple."""
    if isinstance(value, str):
        return (value,)
    return tuple(value) if isinstance(value, list) else value


def known_unit(unit: str) -> str:
    """The unit as written. Raises `BadQuantity` for one that is not known."""
    unit_kind(unit)
    return unit


def as_tuple(value: Any) -> Any:
    """A YAML list as a tuple; anything else as it is, for the validator to refuse."""
    return tuple(value) if isinstance(value, list) else value


def as_text(value: Any) -> Any:
    """A number as text; anything else as it is, for the validator to refuse."""
    return str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


_OneOrMany = BeforeValidator(one_or_many, json_schema_input_type=Id | list[Id])
Ids = Annotated[tuple[Id, ...], _OneOrMany]
Lines = Annotated[tuple[Line, ...], BeforeValidator(as_tuple, json_schema_input_type=list[Line])]
Unit = Annotated[Line, AfterValidator(known_unit)]
Sources = Annotated[tuple[Id, ...], _OneOrMany, Field(min_length=1)]
QuantityText = Annotated[str, BeforeValidator(as_text, json_schema_input_type=str | float)]
Minutes = Annotated[float, Field(ge=0, le=600, strict=False)]
Share = Annotated[float, Field(ge=0, le=1, strict=False)]
Strength = str | dict[Id, str]
Needs = dict[Id, Ids]
MOST_STATES = 20
# each answer has a key from 1 to 9; "don't know" and "can't do it here" take two of them
MOST_ANSWERS = 7
States = Annotated[dict[Id, Line], Field(max_length=MOST_STATES)]


class StrictModel(BaseModel):
    """Frozen, strict, and closed against unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Sourced(StrictModel):
    """An entry that says where it comes from: ids of `sources` entries."""

    source: Sources


class PackInfo(StrictModel):
    """What identifies a pack; shown beside everything that comes from it.

    `builds_on` is the id of the pack that this one adds to and changes; a pack without it is
    complete by itself.
    """

    id: Id
    title: Line
    version: Line
    about: Text
    format: Literal[1]
    builds_on: Id | None = None


_UNPUBLISHED = {
    "common-practice": "common practice, not published",
    "memory": "from memory",
    "computed": "computed",
}


Grade = Literal[
    "standard or law", "maker's manual", "book or paper", "magazine", "web page or forum"
]
"""What kind of print a published source is, the weightiest first."""


class Source(StrictModel):
    """Where a claim comes from. A published one names author, title and year, and its `grade`.

    `seen` is "in the original" only where the very page was read.
    """

    kind: Literal["published", "common-practice", "memory", "computed"]
    title: Line
    author: Line | None = None
    year: Annotated[int, Field(ge=1600, le=2100)] | None = None
    page: Line | None = None
    grade: Grade | None = None
    seen: Literal["in the original", "as quoted elsewhere"] | None = None
    module: Line | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind == "published" and not (self.author and self.year and self.seen):
            raise ValueError("a published source needs author, year and how it was seen")
        if self.kind != "published" and self.grade:
            raise ValueError("only a published source has a `grade`")
        if self.kind == "computed" and not self.module:
            raise ValueError("a computed source names the module that computes it")
        return self

    def __str__(self) -> str:
        if self.kind != "published":
            return f"{_UNPUBLISHED[self.kind]}: {self.title}"
        page = f", {self.page}" if self.page else ""
        notes = [self.grade, self.seen if self.seen == "as quoted elsewhere" else None]
        noted = ", ".join(note for note in notes if note)
        return f"{self.author}, {self.title}, {self.year}{page}{f' ({noted})' if noted else ''}"


class Picture(Sourced):
    """A line drawing: the SVG `file`, its place counted from the folder of the pack, and in
    `description` what it shows, for those who do not see it."""

    file: Line
    title: Line
    description: Annotated[
        str, StringConstraints(min_length=20, max_length=360, strip_whitespace=True)
    ]


class Scale(Sourced):
    """The verbal probability scale: word -> (low, high), least likely first."""

    words: dict[str, Annotated[tuple[Share, Share], BeforeValidator(as_tuple)]]

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        middles = [sum(pair) / 2 for pair in self.words.values()]
        if not middles or middles != sorted(set(middles)):
            raise ValueError("list the words from least to most likely, each with its own range")
        return self

    def number(self, word: str) -> float:
        """The middle of the word's published range."""
        low, high = self.words[word]
        return (low + high) / 2


ObservationKind = Literal["history", "question", "measurement", "inspection", "ride-test"]


Way = Literal["memory", "ride", "look", "tool", "parts-off"]
"""How something can be known: remembered, felt on a ride, seen, measured, or seen inside."""


class HandingOver(StrictModel):
    """What handing over is for a kind of person: the bike goes on to a `specialist`, or the rider
    takes it to a `workshop`, with a list. `minutes` is what that counts as; without them, what the
    policy says."""

    to: Literal["specialist", "workshop"] = "specialist"
    minutes: Minutes | None = None


class Person(StrictModel):
    """A kind of person who asks: how likely each way of knowing gives an answer, what work such a
    person does, and what handing over is."""

    title: Line
    answers: dict[Way, Share]
    does: Literal["anything", "home-work", "settings"]
    hand_over: HandingOver = HandingOver()


ANYBODY = Person(title="Anybody", answers={}, does="anything")
"""Who asks where a pack tells no people apart: everything can be known and done."""


class Policy(Sourced):
    """What steps cost, in minutes at the bench, and when safety or ease come before probability.

    `reading_trust` is the chance that what a check settles is so, by the kind of check: no gauge
    misread, no wrong figure looked up, nothing remembered wrongly. An answer that changes every
    chance by less than `moved_from` has moved nothing; after `patience` of them in a row there is
    an offer besides the next question. While a rule raises one of `carry_cautions`, no ride stands
    in a list that is taken along. `people` are the kinds of person who may ask, the usual one
    first; without any, everything can be known and done.
    """

    attention_minutes: Minutes
    ride_minutes: Minutes
    hand_over_minutes: Minutes
    parts_minutes: dict[Literal["none", "small", "medium", "large"], Minutes]
    safety_floor: Share
    look_from: Share
    ban_from: Share
    outside_floor: Share
    settled: Share
    moved_from: Share
    patience: Annotated[int, Field(ge=1, strict=False)]
    reading_trust: dict[ObservationKind, Annotated[float, Field(gt=0.5, lt=1, strict=False)]]
    ride_cautions: Ids
    carry_cautions: Ids = ()
    people: dict[Id, Person] = Field(default_factory=dict)
    ride_report: dict[
        Literal["gone", "better", "same", "worse"],
        Annotated[tuple[Share, Share, Share, Share], BeforeValidator(as_tuple)],
    ]

    def person(self, name: str) -> Person:
        """The kind of person called `name`, else the usual kind."""
        return self.people.get(name, next(iter(self.people.values()), ANYBODY))

    def minutes_to_hand_over(self, person: str = "") -> float:
        """What handing over counts as for the kind of person called so, else the usual kind."""
        own = self.person(person).hand_over.minutes
        return self.hand_over_minutes if own is None else own

    def goes_along(self, person: str) -> bool:
        """Whether the kind of person called so, else the usual kind, hands over by going to a
        workshop, with a list."""
        return self.person(person).hand_over.to == "workshop"

    @property
    def workshop(self) -> str:
        """The kind of person who takes over from a rider: the first who hands on to a specialist;
        empty where there is none."""
        return next((n for n, p in self.people.items() if p.hand_over.to == "specialist"), "")

    @model_validator(mode="after")
    def _columns_sum(self) -> Self:
        if set(self.ride_report) != {"gone", "better", "same", "worse"}:
            raise ValueError("ride_report needs the rows gone, better, same and worse")
        if set(self.reading_trust) != set(get_args(ObservationKind)):
            raise ValueError(f"reading_trust needs {', '.join(get_args(ObservationKind))}")
        for column in zip(*self.ride_report.values(), strict=True):
            if abs(sum(column) - 1) > 1e-9:
                raise ValueError("each column of ride_report must add up to 1")
        return self


class Trait(Sourced):
    """A fact about the bike that decides what applies, such as the kind of fork."""

    title: Line
    ask: Line
    options: States
    default: Id

    @model_validator(mode="after")
    def _default_known(self) -> Self:
        if self.default not in self.options:
            raise ValueError(f"default {self.default!r} is not one of the options")
        return self


ANY = "any"
"""Instead of a usual range: bikes of the kind differ so much that a rule of thumb says nothing."""


class KindFigure(StrictModel):
    """The default of a target and its usual range for bikes with certain traits."""

    needs: Needs = Field(min_length=1)
    default: QuantityText
    usual: Line | None = None


class Spec(Sourced):
    """A target of the bike, with a default per class until the manual is read.

    `usual` is what bikes of the kind are built to, such as `25 to 70 mm`: with the default alone a
    reading inside it cannot be judged and one outside it is off. With `any` the default is neither
    shown nor judged by. Without `usual` the default judges. `never_beyond`: no bike is safe outside
    that range, so that alone may forbid riding. The first of `where` that fits the bike goes before
    `default` and `usual`.
    """

    title: Line
    unit: Unit
    by: Id | None = None
    default: QuantityText | dict[Id, QuantityText]
    usual: Line | dict[Id, Line] | None = None
    where: Annotated[tuple[KindFigure, ...], BeforeValidator(as_tuple)] = ()
    never_beyond: bool = False

    @model_validator(mode="after")
    def _one_or_per_option(self) -> Self:
        if isinstance(self.default, Mapping) != (self.by is not None):
            raise ValueError("give `by: <trait>` with a default per option, or one plain default")
        options = set(self.default) if isinstance(self.default, Mapping) else set()
        if isinstance(self.usual, Mapping) and set(self.usual) - options:
            raise ValueError("`usual` names options that have no default of their own")
        if self.never_beyond and self.usual is None and not self.where:
            raise ValueError("`never_beyond` needs the `usual` range that it is about")
        return self

    def usual_for(self, option: str) -> str | None:
        """The usual range as written, for an option of the trait it goes by."""
        return self.usual.get(option) if isinstance(self.usual, Mapping) else self.usual


class Caution(Sourced):
    """What to mind before a step, shown before it.

    `called_for_by`: words in a step, a tool or a part that require it, or another caution with the
    same words. What only sounds like it is named in an entry's `no_need_of`.
    """

    text: Text
    called_for_by: Lines = ()


class Complaint(Sourced):
    """Something a rider complains of. With `places` it is asked and linked per place.

    `ask_first` are questions that go before all others while it is felt, save what safety asks for.
    `enough_looks`: after so many looks and readings with nothing likely left, nothing is found
    wrong; without it every check that could settle a suspect is made first.
    """

    title: Line
    said: Lines = ()
    places: Annotated[Ids, Field(max_length=MOST_STATES)] = ()
    background: str
    ask_first: Ids = ()
    enough_looks: Annotated[int, Field(ge=1)] | None = None


class Band(StrictModel):
    """One way a reading can be off: beyond a limit it means this state."""

    state: Id
    above: str | None = None
    below: str | None = None

    @model_validator(mode="after")
    def _one_side(self) -> Self:
        if (self.above is None) == (self.below is None):
            raise ValueError("give exactly one of `above` and `below`")
        return self


INTERVALS = ("h", "days", "months", "years")


class ServiceClock(StrictModel):
    """The service that a measurement of time counts from: what people call it, its name first, and
    in `tells` the yes/no questions about history that are yes once it was done."""

    called: Annotated[Lines, Field(min_length=1)]
    tells: Ids = ()


class Observation(Sourced):
    """Something that can be asked, measured, looked at or felt on a ride.

    `states` run from normal to most telling; a yes/no question may leave them out. A measurement
    has a `unit` and `bands`; the state of a reading is worked out from them, and `in_words` says
    what state is meant by a word given where there is no figure. `phase` marks a yes/no
    question about when the complaint shows, asked together with it; `standing` where that is no
    riding. `short` is what is asked in a few words, as a thing to tick or a row of a list.
    `settles` names causes that are there when this is in one of the states given: seeing it is
    seeing the fault. `unsettled_by` names answers beside which it settles nothing, since what
    they tell may make it so too.
    `no_need_of` names cautions that its words call for and it can do without, each with the reason.
    `enters` names a spec: the reading is the bike's own figure for it, as printed in its manual;
    such an entry is called `manual-<spec>`. `tells` names a trait: the states are options of it,
    the first the one that leaves the kind open, and an answer says which of the others this bike
    has; it is asked before a measurement that `needs` the trait. An `early` check goes before other
    questions where it may settle a suspect. What is `instead_of` another check is asked only where
    that one cannot be made, and what has `only_if` only while each observation there is in one of
    its states or not known. What a yes `brings` is yes as well: a tyre is not changed with the
    wheel in. A measurement of time held against a `target` of time counts from a service; `clock`
    names that, and such an entry may be there only to be counted. `change_tells` names the yes/no
    questions about history that are yes once it stands otherwise than it did. `again_after` names
    complaints, each with the states that hold only until a ride that still reports it. `counted`
    says from which end a reading is counted, such as `out from fully closed`: the other end gives
    the opposite, so a reading against all else that is known is taken once more.
    """

    kind: ObservationKind
    ask: Line
    short: Line | None = None
    states: States = Field(default_factory=lambda: {"no": "No", "yes": "Yes"})
    background: Strength | None = None
    place: Id | None = None
    minutes: Minutes
    how: Lines = ()
    picture: Id | None = None
    tools: Lines = ()
    cautions: Ids = ()
    no_need_of: dict[Id, Line] = Field(default_factory=dict)
    opens: bool = False
    safety: bool = False
    phase: bool | Literal["standing"] = False
    needs: Needs = Field(default_factory=dict)
    unit: Unit | None = None
    target: Id | None = None
    enters: Id | None = None
    tells: Id | None = None
    limits: Annotated[tuple[QuantityText, QuantityText], BeforeValidator(as_tuple)] | None = None
    in_words: dict[Line, Id] = Field(default_factory=dict)
    bands: Annotated[tuple[Band, ...], BeforeValidator(as_tuple)] = ()
    settles: dict[Id, Ids] = Field(default_factory=dict)
    unsettled_by: dict[Id, Ids] = Field(default_factory=dict)
    early: bool = False
    instead_of: Id | None = None
    only_if: dict[Id, Ids] = Field(default_factory=dict)
    brings: Ids = ()
    clock: ServiceClock | None = None
    change_tells: Ids = ()
    again_after: dict[NodeId, Ids] = Field(default_factory=dict)
    counted: Line | None = None

    @model_validator(mode="after")
    def _measured_or_not(self) -> Self:
        if self.kind == "measurement":
            if self.unit is None or self.limits is None:
                raise ValueError("a measurement needs `unit` and `limits` (what a reading can be)")
            for band in self.bands:
                if band.state not in self.states or band.state == self.normal:
                    raise ValueError(f"band state {band.state!r} is not one of the other states")
            for state in self.in_words.values():
                if state not in self.states:
                    raise ValueError(f"`in_words`: {state!r} is not one of the states")
            if self.clock is not None and (self.unit not in INTERVALS or self.target is None):
                raise ValueError(
                    f"a `clock` has a unit among {', '.join(INTERVALS)}, and a `target` it runs to"
                )
            if self.tells is not None:
                raise ValueError("a measurement does not tell a kind of bike: no `tells`")
        elif (
            self.unit
            or self.counted
            or self.bands
            or self.target
            or self.enters
            or self.limits
            or self.in_words
            or self.clock
        ):
            raise ValueError(
                "only a measurement has `unit`, `target`, `enters`, `limits`, `in_words`, `bands` "
                "or `clock`"
            )
        elif len(self.states) > MOST_ANSWERS:
            raise ValueError(
                f"{len(self.states)} states; each is answered with one key, so at most "
                f"{MOST_ANSWERS} can be told apart"
            )
        if self.phase and (self.kind != "question" or set(self.states) != {"no", "yes"}):
            raise ValueError("only a yes/no question can be a `phase`")
        if len(self.states) < 2 and (self.kind != "measurement" or self.bands):
            raise ValueError("at least two states are needed")
        if self.unsettled_by and not self.settles:
            raise ValueError("`unsettled_by` is for an entry that `settles` something")
        for cause, states in self.settles.items():
            for state in states:
                if state not in self.states or state == self.normal:
                    raise ValueError(
                        f"`settles` {cause!r}: {state!r} is not one of the other states"
                    )
        return self

    @property
    def way(self) -> Way:
        """How it can be known."""
        if self.opens:
            return "parts-off"
        if self.kind in ("history", "question"):
            return "memory"
        if self.kind == "ride-test":
            return "ride"
        if self.enters is not None:
            return "look"
        return "tool" if self.tools or self.kind == "measurement" else "look"

    @property
    def normal(self) -> str:
        """The first state: nothing out of the ordinary."""
        return next(iter(self.states))

    @property
    def is_evidence(self) -> bool:
        """False for a reading that only feeds rules and says nothing by itself."""
        return self.background is not None


class Computed(StrictModel):
    """A number computed from readings, and the states it means.

    `by` names one of the engine's computations, `inputs` the measurement for each of its roles, and
    `bands` the states; a number in none of them is no evidence. It is computed only where
    at least `off_inputs` of the inputs are in another state than their normal one: with fewer it
    would only repeat what one reading says.
    """

    by: Id
    inputs: dict[Id, Id] = Field(min_length=1)
    off_inputs: Annotated[int, Field(ge=1)]
    unit: Unit
    bands: Annotated[tuple[Band, ...], BeforeValidator(as_tuple), Field(min_length=1)]

    @model_validator(mode="after")
    def _enough_inputs(self) -> Self:
        if self.off_inputs > len(self.inputs):
            raise ValueError("`off_inputs` is more than there are inputs")
        return self


class Finding(Sourced):
    """A conclusion drawn from other facts, by rules or by computation; never asked.

    `shown_by` links causes to it from here, for a pack file that adds a finding to causes written
    elsewhere; the same may stand under the cause's `shows` instead.
    """

    title: Line
    states: States
    background: Strength
    computed: Computed | None = None
    shown_by: dict[Id, Strength] = Field(default_factory=dict)
    shown_by_source: Ids = ()

    @model_validator(mode="after")
    def _fits(self) -> Self:
        if len(self.states) < 2:
            raise ValueError("at least two states are needed")
        if bool(self.shown_by) != bool(self.shown_by_source):
            raise ValueError("`shown_by` and `shown_by_source` go together")
        for band in self.computed.bands if self.computed else ():
            if band.state not in self.states or band.state == next(iter(self.states)):
                raise ValueError(f"band state {band.state!r} is not one of the other states")
        return self


class Condition(StrictModel):
    """One leaf, or `all`, `any` or `not` of others. `not` means 'not known to hold'.

    Leaves: `{fact: X, is: state}`; `{reading: X, above|below|at_least|at_most: limit}`;
    `{reading: X, exceeds|differs_from: Y, by: quantity}`.
    """

    all: Annotated[tuple[Condition, ...], BeforeValidator(as_tuple), Field(min_length=1)] | None = (
        None
    )
    any: Annotated[tuple[Condition, ...], BeforeValidator(as_tuple), Field(min_length=1)] | None = (
        None
    )
    not_: Condition | None = Field(default=None, alias="not")
    fact: NodeId | None = None
    is_: Ids = Field(default=(), alias="is", max_length=MOST_STATES)
    reading: Id | None = None
    above: QuantityText | None = None
    below: QuantityText | None = None
    at_least: QuantityText | None = None
    at_most: QuantityText | None = None
    exceeds: Id | None = None
    differs_from: Id | None = None
    by: QuantityText | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        forms = [self.all, self.any, self.not_, self.fact, self.reading]
        if sum(form is not None for form in forms) != 1:
            raise ValueError("give exactly one of all, any, not, fact and reading")
        if (self.fact is not None) != bool(self.is_):
            raise ValueError("`fact` and `is` go together")
        limits = [self.above, self.below, self.at_least, self.at_most]
        others = [self.exceeds, self.differs_from]
        comparisons = sum(x is not None for x in (*limits, *others))
        if (self.reading is not None) != (comparisons == 1):
            raise ValueError("`reading` goes with exactly one comparison")
        if any(x is not None for x in others) != (self.by is not None):
            raise ValueError("`exceeds` and `differs_from` go with `by`")
        return self

    @property
    def names(self) -> tuple[str, ...]:
        """The facts and readings that a leaf looks at."""
        named = (self.fact, self.reading, self.exceeds, self.differs_from)
        return tuple(name for name in named if name is not None)


class Conclusion(StrictModel):
    """What a rule concludes: exactly one of these; `check` goes with `contradiction`.

    A `do_not_ride` with `until` stands from the time it is raised, whatever is looked at again,
    until one of those corrections was made after all that it rests on was last found so.
    """

    finding: dict[Id, Id] | None = None
    contradiction: Text | None = None
    check: Ids = ()
    caution: Id | None = None
    do_not_ride: Text | None = None
    until: Ids = ()

    @model_validator(mode="after")
    def _one(self) -> Self:
        given = [self.finding, self.contradiction, self.caution, self.do_not_ride]
        if sum(x is not None for x in given) != 1:
            raise ValueError("give exactly one of finding, contradiction, caution and do_not_ride")
        if self.finding is not None and len(self.finding) != 1:
            raise ValueError("`finding` sets one finding to one state")
        if (self.contradiction is not None) != bool(self.check):
            raise ValueError("a contradiction names the answers to `check` again")
        if self.until and self.do_not_ride is None:
            raise ValueError("`until` is for a `do_not_ride`")
        return self


class Rule(Sourced):
    """If the condition holds, the conclusion follows."""

    when: Condition
    then: Conclusion


class Correction(Sourced):
    """What puts a cause right, and how the next ride or a bench test proves it.

    A `setting` is brought back to its figure without taking anything apart; several that were found
    off may be set before one ride. `makes` are the observations that this work makes on its way,
    such as the colour of oil that is drained. `look_after` are those made once it is done: where
    one is not in its normal state, what else may be behind it comes before the ride to prove it.
    """

    title: Line
    steps: Annotated[Lines, Field(min_length=1)]
    picture: Id | None = None
    minutes: Minutes
    parts: Literal["none", "small", "medium", "large"] = "none"
    parts_list: Lines = ()
    tools: Lines = ()
    who: Literal["home mechanic", "qualified technician"]
    makes: Ids = ()
    look_after: Ids = ()
    opens: bool = False
    setting: bool = False
    cautions: Ids = ()
    no_need_of: dict[Id, Line] = Field(default_factory=dict)
    goes_wrong: Line
    proof: Line


class PreRideCheck(Sourced):
    """One line of the list to go through before a ride.

    It is due each ride, or when `every` has been ridden (h) or has gone by (days, months, years)
    since `note`, an observation, was last recorded. `correction` is the one whose steps say how.
    """

    title: Line
    every: QuantityText
    note: Id | None = None
    correction: Id | None = None
    cautions: Ids = ()
    needs: Needs = Field(default_factory=dict)

    @model_validator(mode="after")
    def _can_be_ticked(self) -> Self:
        interval = self.interval
        if interval is None:
            return self
        if interval.unit not in INTERVALS or interval.value <= 0:
            raise ValueError(f"`every` is `ride` or an amount in {', '.join(INTERVALS)}")
        if self.note is None:
            raise ValueError("an interval counts from a `note`: name the observation noted then")
        return self

    @property
    def interval(self) -> Quantity | None:
        """How long after `note` it is due again, None where it is due each ride."""
        return None if self.every == "ride" else parse_quantity(self.every)


class Cause(Sourced):
    """Something that can be behind a bad ride.

    `per_100` is the prior: of a hundred bad rides, how many have this behind them. `shows` gives,
    for this cause alone, how likely each complaint or observation state is. Where that comes from
    is said by `shows_source` for all, and by `shown_in` for those that stand in print: what a
    source says of one link is said of no other.
    """

    title: Line
    group: Id
    what: Text
    place: Id | None = None
    inside: bool = False
    unsafe: bool = False
    per_100: Annotated[float, Field(gt=0, le=50, strict=False)]
    shows: dict[NodeId, Strength] = Field(min_length=1)
    shows_source: Sources
    shown_in: dict[NodeId, Sources] = Field(default_factory=dict)
    correction: Id
    needs: Needs = Field(default_factory=dict)
    not_separable_from: Ids = ()

    @property
    def sources(self) -> tuple[str, ...]:
        """Everything it rests on, its links too."""
        shown = (source for sources in self.shown_in.values() for source in sources)
        return tuple(dict.fromkeys((*self.source, *self.shows_source, *shown)))
