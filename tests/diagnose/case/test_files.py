"""Case files: read whole, or refused with every problem placed."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.events import Answered, Complained, Corrected, Noted, Rode
from diagnose.case.files import case_from_bytes, load_case, load_worked_cases
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

GOOD = """\
case: 1
machine: {engine: petrol}
targets: {plug-gap: 0.7 mm}
complaints: [no-start, vibration/deck]
answers:
  tank-look: stale
  stood-all-winter: yes
  plug-gap-reading: 0,9 mm
  spark-seen: dont-know
afterwards:
  - correction: fill-up
    ride: better
    answers: {tank-look: fresh}
note: Second visit.
"""


def test_a_bare_number_in_a_file_is_in_the_packs_unit(mower: RuleBase) -> None:
    """Whatever the targets beside it are in: a file means the same wherever it is read."""
    raw = GOOD.replace("plug-gap: 0.7 mm", "plug-gap: 0.03 in").replace("0,9 mm", "0,9")
    case = case_from_bytes(mower, raw.encode(), "f")
    readings = [event for event in case.events if isinstance(event, Answered) and event.reading]
    assert readings == [Answered("plug-gap-reading", reading=Quantity(0.9, "mm"))]


def test_a_case_is_its_events_in_order(mower: RuleBase) -> None:
    case = case_from_bytes(mower, GOOD.encode(), "f")
    assert case.machine == {"engine": "petrol"}
    assert case.targets == {"plug-gap": Quantity(0.7, "mm")}
    assert case.events == (
        Complained("no-start"),
        Complained("vibration", "deck"),
        Answered("tank-look", state="stale"),
        Answered("stood-all-winter", state="yes"),
        Answered("plug-gap-reading", reading=Quantity(0.9, "mm")),
        Answered("spark-seen"),
        Corrected("fill-up"),
        Rode("better"),
        Answered("tank-look", state="fresh"),
        Noted("Second visit."),
    )


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    [
        ("case: 1", "case: 2", 1, "case: write 1"),
        ("engine: petrol", "engine: steam", 2, "'steam' is not one of petrol, electric"),
        ("plug-gap: 0.7 mm", "plug-gap: 0.7 psi", 3, "is a pressure; give a length"),
        ("[no-start,", "[no-strat,", 4, "did you mean 'no-start'"),
        ("vibration/deck", "vibration/wheel", 4, "has deck, handle, not 'wheel'"),
        ("tank-look: stale", "tank-look: blue", 6, "give one of fresh, stale, empty, dont-know"),
        ("tank-look: stale", "tank-luck: stale", 6, "did you mean 'tank-look'"),
        ("0,9 mm", "99 mm", 8, "a reading lies between 0 mm and 5 mm"),
        ("correction: fill-up", "correction: fill", 11, "'fill' is not a correction"),
        ("ride: better", "ride: nicer", 12, "ride: write 'gone', 'better'"),
        ("note:", "nota:", 14, "nota: this key is not known here"),
        ("complaints: [no-start, vibration/deck]\n", "", 1, "give `complaints`, such as"),
        ("stale\n", "true\n", 6, "write a text here"),
    ],
)
def test_a_mistake_is_placed(mower: RuleBase, old: str, new: str, line: int, message: str) -> None:
    with pytest.raises(FileProblems) as caught:
        case_from_bytes(mower, GOOD.replace(old, new, 1).encode(), "f")
    found = [p for p in caught.value.problems if message in str(p)]
    assert found, caught.value
    assert found[0].line == line


def test_every_mistake_comes_at_once(mower: RuleBase) -> None:
    bad = GOOD.replace("stale", "blue").replace("0,9 mm", "99 mm")
    with pytest.raises(FileProblems) as caught:
        case_from_bytes(mower, bad.encode(), "f")
    assert len(caught.value.problems) == 2


def test_a_missing_file_is_named(mower: RuleBase, tmp_path: Path) -> None:
    with pytest.raises(FileProblems, match="No such file"):
        load_case(mower, tmp_path / "none.yaml")
    with pytest.raises(FileProblems, match="Is a directory"):
        load_case(mower, tmp_path)


def test_a_worked_case_must_name_a_true_cause(mower: RuleBase, tmp_path: Path) -> None:
    text = GOOD.replace("note: Second visit.\n", "") + (
        "title: T\nset: tuning\ninvented: true\nstory: S\nteaches: W\nsource: made-up\n"
        "truth: [stale-fuel]\n"
    )
    (tmp_path / "a.yaml").write_text(text, encoding="utf-8")
    assert load_worked_cases(mower, tmp_path)[0].truth == ("stale-fuel",)
    (tmp_path / "b.yaml").write_text(text.replace("stale-fuel]", "bad-fuel]"), encoding="utf-8")
    with pytest.raises(FileProblems, match="'bad-fuel' is not a cause"):
        load_worked_cases(mower, tmp_path)


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_a_garbled_case_never_gives_a_traceback(mower: RuleBase, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(GOOD) - 1))
    length = data.draw(st.integers(0, 30))
    junk = data.draw(st.text(alphabet="a09:-[]{}\n ,.'\"<>&*!%é\x00", max_size=12))
    try:
        case_from_bytes(mower, (GOOD[:start] + junk + GOOD[start + length :]).encode(), "f")
    except FileProblems as error:
        assert all(p.line >= 1 and p.message for p in error.problems)


@settings(deadline=None, max_examples=150)
@given(st.binary(max_size=200))
def test_any_bytes_give_a_case_or_problems(mower: RuleBase, raw: bytes) -> None:
    with pytest.raises(FileProblems):
        case_from_bytes(mower, raw, "f")
