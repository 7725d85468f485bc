"""A bike in words: what kind it is, its hours, its service clocks, and what has been done to it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from diagnose.case.events import Case, machine_traits
from diagnose.case.figures import figure_of
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.service import CALENDAR, ClockState, riding_rate
from diagnose.words.answers import answer_text
from diagnose.words.chances import counted
from diagnose.words.figure_words import RANK_WORDS, short_figure
from diagnose.words.titles import clock_title, lowered, short_titles
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


def bike_in_full(rules: RuleBase, case: Case) -> str:
    """Every trait of the bike in one line, saying what is only assumed."""
    parts = []
    for trait, option in machine_traits(rules, case).items():
        assumed = "" if trait in case.machine else " (assumed)"
        entry = rules.traits[trait]
        parts.append(f"{entry.title.lower()}: {entry.options[option].lower()}{assumed}")
    return "; ".join(parts)


def bike_line(rules: RuleBase, case: Case, name: str = "") -> str:
    """What somebody has said of the bike in one line, and how much of it is only assumed."""
    told = []
    for trait, option in machine_traits(rules, case).items():
        label = rules.traits[trait].options[option]
        if trait in case.machine:
            bare = label.casefold() in ("yes", "no")
            told.append(f"{rules.traits[trait].title}: {label}" if bare else label)
    assumed = len(rules.traits) - len(told)
    parts = [name] if name else []
    parts += told
    figures = len(case.targets)
    thumbs = "" if figures else ", rules of thumb"
    if assumed == len(rules.traits):
        parts.append(f"usual kind assumed{thumbs}")
    elif assumed:
        parts.append(f"{assumed} more assumed{thumbs}")
    if figures:
        parts.append(f"{counted(figures, 'figure')} by the manual")
    return "; ".join(parts)


def thumbs_text(rules: RuleBase, bike: Bike) -> str:
    """How many targets of the bike are only rules of thumb, with an example; empty for none."""
    figures = {name: figure_of(rules, bike.machine, name) for name in rules.specs}
    missing = [name for name, figure in figures.items() if not figure.is_own]
    if not missing:
        return ""
    such = f"{rules.specs[missing[0]].title.lower()} {short_figure(figures[missing[0]])}"
    return f"{len(missing)} figures are not the bike's own, such as {such}"


def hours_text(bike: Bike, today: date) -> str:
    """Hours ridden, the day of the last ride logged, and hours a week."""
    if not bike.rides:
        return "none logged"
    rate = riding_rate(bike, today)
    text = f"{bike.total_hours:.4g} h, last ride logged {bike.rides[-1].on.isoformat()}"
    return text if rate is None else f"{text}, about {rate * 7:.2g} h a week of late"


# -- service clocks ------------------------------------------------------------------------------


def amount(value: float, unit: str) -> str:
    """A figure to three digits, with its unit: `12.5 h`."""
    if unit == "years" and 0 < value < 1:
        return amount(12 * value, "months")
    if unit == "months" and 0 < value < 1:
        return f"{value * CALENDAR['months']:.0f} days"
    return f"{value:.3g} {unit}"


def left_text(state: ClockState) -> str:
    """What is left of the interval of a clock, or by how much it is over."""
    if state.is_unknown:
        return "DUE since unknown"
    if state.left is None:
        return "no service noted"
    if state.overdue:
        return f"{_over(state.left)} over"
    return amount(state.left.value, state.left.unit)


def clock_text(rules: RuleBase, state: ClockState) -> str:
    """A clock with its last service and its interval."""
    parts = [clock_title(rules, state.clock)]
    if state.is_unknown and state.at_least is not None:
        parts.append(
            f"DUE since unknown: {_told(state.at_least)} on record, no service; Enter notes one"
        )
    elif state.service is None:
        parts.append("no service on record, so nothing can be said; Enter notes one")
    else:
        parts += [f"last service {state.service.on.isoformat()}", "Enter notes a service"]
    return "; ".join([*parts, f"every {state.interval}, {RANK_WORDS[state.rank]}"])


def due_text(rules: RuleBase, state: ClockState) -> str:
    """A clock with what is left, since when it counts, and about when it runs out."""
    interval = f"every {state.interval}, {RANK_WORDS[state.rank]}"
    since = f"{state.since} since {state.service.on.isoformat()}" if state.service else ""
    if state.is_unknown and state.at_least is not None:
        text = f"DUE since unknown: {_told(state.at_least)} on record and no service; {interval}"
    elif state.since is None or state.left is None:
        text = f"no service on record; {interval}"
    elif state.overdue:
        text = f"DUE NOW, {_over(state.left)} over; {since}; {interval}"
    else:
        when = "no date: too few rides logged"
        if state.due_on is not None:
            when = f"due about {state.due_on.isoformat()}"
        text = f"{state.left} left; {since}; {interval}; {when}"
    return f"{clock_title(rules, state.clock)}: {text}"


def next_service_text(state: ClockState) -> str:
    """A clock with a service on record, as it stands on a card."""
    thumb = "" if state.is_own else f" ({RANK_WORDS[state.rank]})"
    name = state.title.rstrip("?")
    if state.overdue:
        return f"{name}: {state.since}, due now; every {state.interval}{thumb}"
    when = f", about {state.due_on.isoformat()}" if state.due_on else ""
    return f"{name}: {state.since}, due at {state.interval}{thumb}{when}"


def _told(since: Quantity) -> str:
    return amount(since.value, since.unit)


def _over(left: Quantity) -> str:
    return amount(-left.value, left.unit)


# -- what happened -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Past:
    """Something that happened to the bike. `seq` is its number in the journal, 0 for a figure,
    which is not taken back but replaced."""

    seq: int
    on: date
    what: str
    note: str = ""

    @property
    def noted(self) -> str:
        """What happened, and the note that was made with it."""
        return self.what + (f" ({self.note})" if self.note else "")


def past_of(rules: RuleBase, bike: Bike) -> list[Past]:
    """What happened to a bike, the earliest day first."""
    return sorted(_past(rules, bike), key=lambda item: (item.on, item.seq))


def _past(rules: RuleBase, bike: Bike) -> Iterator[Past]:
    marked = {setting.seq for setting in bike.baseline.values()}
    titles = short_titles(rules, bike.now)
    for s in bike.settings:
        baseline = ", baseline" if s.seq in marked else ""
        value = answer_text(rules, s.answer)
        yield Past(s.seq, s.on, f"{titles[s.answer.observation]}: {value}{baseline}", s.note)
    for r in bike.rides:
        meter = f", meter {r.meter:.6g} h" if r.meter is not None else ""
        felt = f", felt {r.felt}" if r.felt else ""
        what = f"Ride: {r.hours:.3g} h{meter}, {r.total:.4g} h in all{felt}"
        yield Past(r.seq, r.on, what, r.note)
    for service in bike.services:
        title = lowered(clock_title(rules, service.clock))
        what = f"Service: {title}, counted from 0 again at {service.total:.4g} h"
        yield Past(service.seq, service.on, what, service.note)
    for name, figure in bike.targets.items():
        spec = rules.specs[name].title if name in rules.specs else name
        yield Past(0, figure.on, f"Figure: {spec} {figure.quantity}", f"read in {figure.read_in}")
