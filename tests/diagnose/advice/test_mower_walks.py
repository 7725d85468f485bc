"""Whole cases of a small invented pack, step by step, with all that is advised at each.

What is advised is kept as text beside this file, to be read in a change like any other text:
`pytest tests/diagnose/advice/test_mower_walks.py --snapshot-update -n 0` writes it anew.
"""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.check_in import check_in
from diagnose.advice.foresight import foresee, swings
from diagnose.advice.planning import OBSERVING
from diagnose.advice.sheet import sheet
from diagnose.advice.standstill import effect_of, standstill
from diagnose.advice.taking_along import take_along
from diagnose.case.events import (
    RIDE_REPORTS,
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Rode,
)
from rules.language.schema import HandingOver, Person
from rules.loading.loader import load_pack
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tests.places import MOWER, change_pack

PEOPLE = {
    "shop": Person(title="Shop", answers={"memory": 0.7}, does="anything"),
    "home": Person(
        title="At home",
        answers={"tool": 0.6, "parts-off": 0.04},
        does="home-work",
        hand_over=HandingOver(to="workshop", minutes=45),
    ),
    "field": Person(
        title="In the field",
        answers={"look": 0.9, "tool": 0.3},
        does="settings",
        hand_over=HandingOver(to="workshop", minutes=30),
    ),
}
READINGS = {
    "plug-gap-reading": ("0.6 mm", "1.1 mm", "3.5 mm"),
    "height": ("30 mm", "41 mm"),
    "manual-plug-gap": ("0.6 mm", "0.9 mm"),
    "deck-sag": ("5 mm", "30 mm"),
    "lever-clicks": ("1 clicks", "4 clicks", "8 clicks"),
}


@pytest.fixture(scope="module")
def shop(mower: RuleBase) -> Assessor:
    """The small pack with all that sways what is advised: people, settings, what is asked first,
    what settles, stands in for something better, is looked at again, and comes on the way."""
    seen, done, felt = dict(mower.observations), dict(mower.corrections), dict(mower.complaints)
    seen["tank-look"] = _but(seen["tank-look"], settles={"no-fuel": ("empty",)}, early=True)
    seen["spark-seen"] = _but(
        seen["spark-seen"], instead_of="plug-gap-reading", again_after={"no-start": ("sparks",)}
    )
    seen["blade-wobble"] = _but(
        seen["blade-wobble"], again_after={"vibration": ("no",)}, settles={"blade-bent": ("yes",)}
    )
    seen["carburettor-inside"] = _but(
        seen["carburettor-inside"], settles={"carburettor-gummed": ("yes",)}
    )
    seen["stood-all-winter"] = _but(seen["stood-all-winter"], only_if={"hit-a-stone": ("no",)})
    seen["plug-gap-reading"] = _but(seen["plug-gap-reading"], tools=("gap gauge",))
    done["set-heights"] = _but(done["set-heights"], setting=True)
    done["new-plug"] = _but(done["new-plug"], setting=True)
    done["clean-carburettor"] = _but(done["clean-carburettor"], makes=("carburettor-inside",))
    felt["vibration"] = _but(felt["vibration"], ask_first=("hit-a-stone",), enough_looks=3)
    policy = _but(mower.policy, people=PEOPLE, carry_cautions=("clear-ground",), patience=2)
    return Assessor(
        replace(mower, observations=seen, corrections=done, complaints=felt, policy=policy)
    )


FULLER = """
specs:
  lever-setting: {title: "Lever, clicks out", unit: clicks, default: 4 clicks, source: made-up}
observations:
  manual-plug-gap: {kind: measurement, ask: Plug gap in the manual, unit: mm, enters: plug-gap, limits: [0 mm, 5 mm], minutes: 2, source: made-up}
  which-size: {kind: inspection, ask: Is it a large one?, states: {small: No or not known, large: A large one}, tells: size, minutes: 0.5, source: made-up}
  deck-sag: {kind: measurement, ask: Sag of the deck, unit: mm, limits: [0 mm, 90 mm], states: {ok: little, sags: much}, bands: [{state: sags, above: 20 mm}], background: {sags: very unlikely}, minutes: 2, needs: {size: large}, source: made-up}
  lever-clicks:
    kind: measurement
    ask: "lever, clicks out from closed"
    unit: clicks
    target: lever-setting
    counted: out from fully closed
    limits: [0 clicks, 9 clicks]
    states: {ok: right, far-in: too far in, far-out: too far out}
    bands: [{state: far-in, below: target - 1 clicks}, {state: far-out, above: target + 1 clicks}]
    background: {far-in: exceptionally unlikely, far-out: exceptionally unlikely}
    settles: {lever-in: far-in, lever-out: far-out}
    minutes: 1
    source: made-up
  wet-plug: {kind: question, ask: Is the plug wet?, background: unlikely, minutes: 0.5, source: made-up}
causes:
  lever-in: {title: Lever too far in, group: fuel, what: Too little air., per_100: 4, shows: {no-start: likely, lever-clicks: {far-in: virtually certain}, wet-plug: very likely}, shows_source: made-up, correction: set-lever, source: made-up}
  lever-out: {title: Lever too far out, group: fuel, what: Too much air., per_100: 4, shows: {no-start: likely, lever-clicks: {far-out: virtually certain}}, shows_source: made-up, correction: set-lever, source: made-up}
  deck-weak: {title: Deck weak, group: deck, what: Springs gone soft., per_100: 4, shows: {vibration/deck: likely, deck-sag: likely}, shows_source: made-up, correction: stiffen-deck, needs: {size: large}, source: made-up}
corrections:
  set-lever: {title: Set the lever, steps: [Turn it.], minutes: 1, setting: true, who: home mechanic, goes_wrong: Turned too far., proof: It starts., source: made-up}
  stiffen-deck: {title: Stiffen the deck, steps: [Swap the springs.], minutes: 15, parts: large, who: qualified technician, goes_wrong: Sprung tools., proof: It runs smooth., source: made-up}
"""


@pytest.fixture(scope="module")
def fuller(tmp_path_factory: pytest.TempPathFactory) -> Assessor:
    """The small pack with figures to look up, a count, a kind to find out, a ban that stands until
    work is done, and a long look for danger that a question may spare."""
    folder = tmp_path_factory.mktemp("fuller")
    shutil.copytree(MOWER, folder, dirs_exist_ok=True)
    (folder / "fuller.yaml").write_text(FULLER, encoding="utf-8")
    change_pack(
        folder,
        ("large: 0.8 mm}, source", "large: 0.8 mm}, usual: 0.4 to 1.4 mm, source"),
        ("wide: very unlikely}\n", "wide: very unlikely}\n    settles: {plug-worn: wide}\n"),
        ("The blade is loose.", "The blade is loose., until: [new-blade]"),
        (
            "minutes: 3\n    safety: true",
            "minutes: 12\n    settles: {blade-bent: yes}\n    safety: true",
        ),
        (
            "{none: exceptionally unlikely}",
            "{none: exceptionally unlikely}\n    settles: {plug-worn: none}\n    unsettled_by: {tank-look: [empty], lever-clicks: [far-in]}",
        ),
    )
    rules = load_pack(folder)
    return Assessor(replace(rules, policy=_but(rules.policy, people=PEOPLE, patience=2)))


def _but(entry: Any, **changes: object) -> Any:
    return entry.model_copy(update=changes)


@pytest.mark.parametrize(
    ("person", "told", "seed"),
    [
        ("field", "no-start", 0),
        ("field", "no-start", 6),
        ("field", "vibration", 0),
        ("field", "vibration", 12),
        ("field", "vibration/deck", 1),
        ("field", "vibration no-start", 12),
        ("home", "vibration", 0),
        ("home", "vibration/deck", 11),
        ("home", "vibration no-start", 2),
        ("home", "vibration no-start", 10),
        ("shop", "no-start", 11),
        ("shop", "no-start", 12),
        ("shop", "vibration", 4),
        ("shop", "vibration", 5),
        ("shop", "vibration", 12),
        ("shop", "vibration/deck", 10),
        ("shop", "vibration no-start", 0),
        ("shop", "vibration no-start", 8),
    ],
)
def test_what_is_advised_from_step_to_step(
    shop: Assessor, person: str, told: str, seed: int, snapshot: SnapshotAssertion
) -> None:
    assert walked(shop, Case(), f"{person} {told} {seed}") == snapshot


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    ("person", "told"),
    [
        ("shop", "no-start"),
        ("home", "no-start"),
        ("shop", "vibration/deck"),
        ("field", "vibration/deck no-start"),
    ],
)
def test_what_is_advised_where_there_is_more_to_mind(
    fuller: Assessor, person: str, told: str, seed: int, snapshot: SnapshotAssertion
) -> None:
    case = Case({}, {"lever-setting": Quantity(4.0, "clicks")})
    assert walked(fuller, case, f"{person} {told} {seed}") == snapshot


def walked(shop: Assessor, case: Case, name: str) -> str:
    """All that is advised on one way through a case, drawn by its name: who asks, what is complained
    of, a number."""
    draw = random.Random(name)
    person, *told, _ = name.split()
    case = case.with_event(Asking(person))
    for text in told:
        complaint, _, place = text.partition("/")
        case = case.with_event(Complained(complaint, place or None))
    made = {len(case.events): shop.assess(case)}
    lines: list[str] = []
    for number in range(len(case.events), len(case.events) + 8):
        lines += said_of(shop, made, number)
        event = _what_happens(shop.rules, made[number], draw)
        if event is None:
            break
        case = case.with_event(event)
        made[number + 1] = shop.assess(case)
        did = effect_of(made[number], event, made[number + 1])
        lines.append(f"\n> {_event_text(event)}  ({did})")
    lines += _at_the_end(shop, shop.assess(case))
    return "\n".join(lines)


def _at_the_end(shop: Assessor, at: Assessment) -> Iterator[str]:
    """What would be ticked, what each suspect could still move, and what a rider takes along."""
    page = check_in(shop, at.belief.case)
    yield f"\ncheck in: {_short((page.since, page.shows, page.readings))}"
    foreseen = foresee(at.model, at.belief, at.options)
    for cause in ("plug-worn", "blade-bent"):
        for swing in swings(at.options, foreseen, cause):
            if swing.width > 1e-6:  # what moves nothing comes in whatever order
                yield f"{cause}: {_short(swing)}"
    along = take_along(shop, at)
    yield f"put right: {_short(along.put_right)}, nothing listed {_short(along.nothing_listed)}"
    yield f"answers: {_short(tuple(told.key for told in along.answers))}"
    yield from (f"repair: {_short(repair)}" for repair in along.repairs)
    yield from (f"found: {fault.cause} {_short(fault.chance)}" for fault in along.found)
    for kind, rows in (("check", along.checks), ("after", along.after)):
        yield from (f"{kind}: {row.about} {_short(row.settles)}" for row in rows)


def _what_happens(rules: RuleBase, at: Assessment, draw: random.Random) -> Event | None:
    """What the person does at a step: mostly what it says, now and then something else."""
    step = at.step
    if step.kind in OBSERVING.values():
        entry = rules.observations[step.target]
        if draw.random() < 0.2:
            return Answered(step.target, cannot_here=draw.random() < 0.5)
        if entry.kind == "measurement":
            key = "height" if step.target.endswith("height") else step.target
            value, unit = draw.choice(READINGS[key]).split()
            return Answered(step.target, reading=Quantity(float(value), unit))
        return Answered(step.target, state=draw.choice(list(entry.states)))
    match step.kind:
        case "correct":
            return draw.choice((Corrected, Corrected, Corrected, Declined))(step.target)
        case "confirm":
            return Rode(draw.choice(RIDE_REPORTS))
        case "check-again":
            return Insisted(step.target)
        case _:
            return None


def _event_text(event: Event) -> str:
    return " ".join(
        str(part)
        for part in (
            type(event).__name__.lower(),
            *(getattr(event, name) for name in event.__dataclass_fields__),
        )
        if part not in (None, "", False)
    )


def said_of(shop: Assessor, made: dict[int, Assessment], number: int) -> Iterator[str]:
    """All that is advised after so many events, a line each."""
    at = made[number]
    step, plan = at.step, at.plan
    yield f"{step.kind} {step.target} {_short(step.minutes)} min; {step.constraint}; {step.partner}"
    yield f"  why: {_short(step.why)}"
    for correction, chance, check in zip(plan.corrections, plan.chances, plan.checks, strict=False):
        yield f"  plan: {correction} {_short(chance)}, check {_short(check)}"
    yield f"  expected: {_short(plan.expected_minutes)} min"
    for option in at.options:
        yield f"  option: {_short(option)}"
    for row in sheet(shop, at).rows:
        yield f"  sheet: {row.kind} {row.about} {_short(row.net)} {_short(row.settles)}"
    yield from (f"  ban: {_short(ban)}" for ban in at.bans)
    if at.cautions:
        yield f"  cautions: {', '.join(at.cautions)}"
    offered = standstill(shop, at, lambda c: made.get(len(c.events)) or shop.assess(c))
    if offered is not None:
        yield f"  instead: {_short(offered)}"


def _short(value: object) -> str:
    """A value in few words, its figures rounded."""
    if isinstance(value, float):
        return f"{round(value, 6) + 0.0:.3g}"  # what is left below that is rounding
    if isinstance(value, tuple):
        return "(" + ", ".join(map(_short, value)) + ")"
    names = getattr(value, "__dataclass_fields__", None)
    if names is None:
        return str(value)
    return type(value).__name__ + _short(tuple(getattr(value, name) for name in names))
