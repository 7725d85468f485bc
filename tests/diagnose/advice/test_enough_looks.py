"""When so many looks are enough: nothing is likely, and every complaint that is felt says so."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.advice.reasons import BeforeGivingUp, NothingFound
from diagnose.case.events import Answered, Case, Complained, read_answer
from diagnose.inference.posterior import nothing_left
from rules.loading.loader import load_pack
from tests.places import MOWER, change_pack

Rare = Callable[..., Assessor]
LOOKED = {"plug-gap-reading": "0.6 mm", "tank-look": "fresh", "stood-all-winter": "no"}
"""Two looks and a memory."""


@pytest.fixture
def rare(tmp_path: Path) -> Rare:
    """`rare(2, 3)`: the mower with causes next to never there, and after how many looks nothing is
    wrong where it will not start, and where it shakes; None for no such number."""

    def make(start: int | None, shake: int | None = None, *edits: tuple[str, str]) -> Assessor:
        shutil.copytree(MOWER, tmp_path, dirs_exist_ok=True)
        if start is not None:
            edits = (*edits, ("said: [dead", f"enough_looks: {start}\n    said: [dead"))
        if shake is not None:
            edits = (*edits, ("said: [shakes", f"enough_looks: {shake}\n    said: [shakes"))
        change_pack(tmp_path, *edits)
        file = tmp_path / "pack.yaml"
        file.write_text(re.sub(r"per_100: \d+", "per_100: 0.05", file.read_text("utf-8")), "utf-8")
        return Assessor(load_pack(tmp_path))

    return make


def after(shop: Assessor, *more: Complained | Answered, **answers: str) -> Step:
    """The step once `LOOKED` and some more were answered."""
    told = {**LOOKED, **{name.replace("_", "-"): text for name, text in answers.items()}}
    said = (read_answer(shop.rules, *answer) for answer in told.items())
    made = shop.assess(Case(events=(Complained("no-start"), *more, *said)))
    assert nothing_left(made.belief) > shop.rules.policy.settled
    return made.step


def goes_on(step: Step) -> bool:
    return isinstance(step.why, BeforeGivingUp) and step.kind == "inspect"


@pytest.mark.parametrize(("number", "on"), [(1, False), (2, False), (3, True), (None, True)])
def test_it_ends_after_so_many_looks(rare: Rare, number: int | None, on: bool) -> None:
    """What is asked of the rider's memory is no look."""
    step = after(rare(number))
    assert goes_on(step) is on
    if not on:
        assert step.kind == "hand-over"
        assert step.why == NothingFound(("plug-gap-reading", "tank-look"))


def test_a_look_that_told_nothing_is_none(rare: Rare) -> None:
    shop = rare(3)
    assert goes_on(after(shop, Answered("spark-seen")))
    assert not goes_on(after(shop, spark_seen="sparks"))


@pytest.mark.parametrize(
    ("start", "shake", "on"), [(2, 3, False), (2, 4, True), (4, 2, True), (2, None, True)]
)
def test_every_complaint_has_to_have_had_enough(
    rare: Rare, start: int, shake: int | None, on: bool
) -> None:
    shop = rare(start, shake)
    step = after(shop, Complained("vibration", "handle"), blade_wobble="no", hit_a_stone="no")
    assert goes_on(step) is on


@pytest.mark.parametrize(("number", "target"), [(5, "plug-gap-reading"), (None, "spark-seen")])
def test_what_every_machine_is_looked_at_for_comes_first(
    rare: Rare, number: int | None, target: str
) -> None:
    """Held to a figure, though it takes long."""
    slow = rare(number, None, ("    minutes: 6\n", "    minutes: 60\n"))
    said = [
        read_answer(slow.rules, name, LOOKED[name]) for name in ("tank-look", "stood-all-winter")
    ]
    carburettor = Answered("carburettor-inside", "no")
    step = slow.assess(Case(events=(Complained("no-start"), *said, carburettor))).step
    assert (step.target, type(step.why)) == (target, BeforeGivingUp)
