"""Moving a case forward and back."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from diagnose.case.events import Answered, Case, Complained, Noted
from diagnose.case.revising import with_event_at
from diagnose.diagnosis import Interview, Workshop
from rules.units.quantities import Quantity

STEPS = st.lists(
    st.one_of(
        st.sampled_from([Complained("no-start"), Answered("tank-look", "stale"), Noted("x")]),
        st.tuples(st.sampled_from(["engine", "size"]), st.sampled_from(["petrol", "small", "big"])),
    ),
    max_size=12,
)


@given(STEPS)
def test_whatever_was_done_is_taken_back_one_thing_at_a_time(steps: list[object]) -> None:
    case, stood = Case(), [Case()]
    for step in steps:
        case = case.with_machine(*step) if isinstance(step, tuple) else case.with_event(step)  # type: ignore[arg-type]
        if case != stood[-1]:
            stood.append(case)
    for earlier in reversed(stood[:-1]):
        case = case.without_last()
        assert case == earlier
    assert case.without_last() is case


def test_a_machine_set_before_anything_was_said_can_be_taken_back(mower_shop: Workshop) -> None:
    interview = Interview(mower_shop)
    interview.case = interview.case.on_machine({"size": "large"}, {"plug-gap": Quantity(0.7, "mm")})
    assert interview.back()
    assert interview.case == Case()
    assert not interview.back()


def test_the_same_machine_is_no_change(mower_shop: Workshop) -> None:
    case = Case({"size": "large"}, {}, (Complained("no-start"),))
    assert case.on_machine({"size": "large"}, {}) is case


def test_how_a_case_came_about_is_no_part_of_what_it_says() -> None:
    one = Case().with_machine("size", "large").with_event(Complained("no-start"))
    assert one == Case({"size": "large"}, {}, (Complained("no-start"),))
    assert "before" not in repr(one)


def test_after_an_earlier_answer_was_changed_the_latest_is_taken_back_as_before() -> None:
    case = Case().with_event(Complained("no-start")).with_event(Noted("x"))
    changed = with_event_at(case, 0, Complained("vibration", "deck"))
    assert changed.without_last().events == (Complained("vibration", "deck"),)
