"""The owner of a case at work: moved on, taken back, changed, kept."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Noted, Rode
from diagnose.diagnosis import Diagnosis, MovedOn
from rules.problems import BadInput
from rules.units.quantities import Quantity

DEAD = Complained("no-start")
STALE, FRESH = Answered("tank-look", "stale"), Answered("tank-look", "fresh")


class Notebook:
    """Keeps a case in memory. `refuses` is why it cannot be written; `meanwhile` is what another
    terminal has made of it."""

    def __init__(self, case: Case | None = None) -> None:
        self.stored = case or Case()
        self.written: list[Case] = []
        self.held: list[float] = []
        self.refuses = ""
        self.meanwhile: Case | None = None

    def write(self, case: Case, before_correction: Callable[[], Assessment]) -> bool:
        if self.refuses:
            raise BadInput(self.refuses)
        if self.meanwhile is not None:
            self.stored, self.meanwhile = self.meanwhile, None
            return False
        if case.events and isinstance(case.events[-1], Corrected):
            self.held.append(before_correction().ranking.find("stale-fuel").probability)
        self.stored = case
        self.written.append(case)
        return True


CHANGES = st.lists(
    st.one_of(
        st.sampled_from([DEAD, STALE, FRESH, Noted("x"), Noted("y")]),
        st.tuples(st.just("bike"), st.sampled_from(["small", "large"])),
        st.tuples(st.just("strike"), st.integers(0, 5)),
        st.tuples(st.just("change"), st.integers(0, 5)),
    ),
    max_size=12,
)


@given(CHANGES)
def test_every_change_is_taken_back_in_turn(
    mower_assessor: Assessor, changes: list[Event | tuple[str, int | str]]
) -> None:
    """Whatever it was: something said, struck out or changed, or another bike."""
    diagnosis = Diagnosis(mower_assessor)
    stood = [diagnosis.case]
    for change in changes:
        match change:
            case ("bike", str(size)):
                diagnosis.set_bike({"size": size}, {})
            case ("strike", int(index)) if index < len(diagnosis.case.events):
                diagnosis.strike(index)
            case ("change", int(index)) if index < len(diagnosis.case.events):
                diagnosis.change(index, Noted("changed"))
            case tuple():
                continue
            case _:
                diagnosis.add(change)
        if diagnosis.case != stood[-1]:
            stood.append(diagnosis.case)
    for earlier in reversed(stood[:-1]):
        assert diagnosis.undo()
        assert diagnosis.case == earlier
    assert not diagnosis.undo()


def test_undo_after_a_change_of_an_earlier_answer_takes_the_change_back(
    mower_assessor: Assessor,
) -> None:
    diagnosis = Diagnosis(mower_assessor)
    diagnosis.add(DEAD, STALE, Answered("spark-seen", "strong"))
    diagnosis.change(1, FRESH)
    assert diagnosis.undo()
    assert diagnosis.case.events == (DEAD, STALE, Answered("spark-seen", "strong"))


def test_what_was_kept_before_is_taken_back_too(mower_assessor: Assessor) -> None:
    diagnosis = Diagnosis(mower_assessor, keeping=Notebook(Case(events=(DEAD, STALE))))
    assert diagnosis.undo()
    assert diagnosis.case.events == (DEAD,)


def test_a_bike_set_before_anything_was_said_can_be_taken_back(mower_assessor: Assessor) -> None:
    diagnosis = Diagnosis(mower_assessor)
    diagnosis.set_bike({"size": "large"}, {"plug-gap": Quantity(0.7, "mm")})
    assert diagnosis.undo()
    assert diagnosis.case == Case()


def test_the_same_bike_is_no_change(mower_assessor: Assessor) -> None:
    diagnosis = Diagnosis(mower_assessor, Case({"size": "large"}, {}, (DEAD,)))
    diagnosis.set_bike({"size": "large"}, {})
    assert diagnosis.undo()
    assert diagnosis.case.events == ()


def test_an_assessment_is_worked_out_once(
    mower_assessor: Assessor, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked_out: list[Case] = []
    real = Assessor.assess

    def assess(self: Assessor, case: Case) -> Assessment:
        worked_out.append(case)
        return real(self, case)

    # not that of the shared assessor itself: putting that back would leave it its own for good
    monkeypatch.setattr(Assessor, "assess", assess)
    diagnosis = Diagnosis(mower_assessor)
    diagnosis.add(DEAD, STALE)
    first = diagnosis.assess()
    diagnosis.add(Noted("x"))
    diagnosis.undo()
    assert diagnosis.assess().assessment is first.assessment is diagnosis.assessment
    assert len(worked_out) == 2  # with the latest answer and without


def test_it_tells_how_the_latest_change_moved_the_causes(mower_assessor: Assessor) -> None:
    diagnosis = Diagnosis(mower_assessor)
    diagnosis.add(DEAD)
    before = diagnosis.assessment.ranking.find("stale-fuel").probability
    diagnosis.add(STALE)
    assessed = diagnosis.assess()
    after = assessed.assessment.ranking.find("stale-fuel").probability
    assert assessed.moved_by("stale-fuel") == pytest.approx(after - before)
    diagnosis.change(1, FRESH)
    turned = diagnosis.assess()
    assert turned.moved_by("stale-fuel") < -assessed.moved_by("stale-fuel") / 2
    assert turned.moved_by("no such cause") == 0


# -- keeping -------------------------------------------------------------------------------------


def test_nothing_is_written_before_it_is_told_to_be(mower_assessor: Assessor) -> None:
    notebook = Notebook()
    diagnosis = Diagnosis(mower_assessor, keeping=notebook)
    diagnosis.add(DEAD, STALE)
    assert (notebook.written, diagnosis.waiting) == ([], 1)
    diagnosis.commit()
    assert (notebook.stored, diagnosis.waiting) == (diagnosis.case, 0)
    diagnosis.commit()
    assert len(notebook.written) == 1


def test_without_keeping_nothing_waits(mower_assessor: Assessor) -> None:
    diagnosis = Diagnosis(mower_assessor)
    diagnosis.add(DEAD)
    diagnosis.commit()
    assert diagnosis.waiting == 0


def test_what_stood_before_a_correction_is_written_before_it(mower_assessor: Assessor) -> None:
    """With what was held likely at that moment, although all is written at once."""
    notebook = Notebook()
    diagnosis = Diagnosis(mower_assessor, keeping=notebook)
    diagnosis.add(DEAD, STALE)
    held = diagnosis.assessment.ranking.find("stale-fuel").probability
    diagnosis.add(Corrected("fill-up"), Rode("gone"))
    diagnosis.commit()
    assert [len(case.events) for case in notebook.written] == [2, 3, 4]
    assert notebook.held == [held]


def test_what_cannot_be_written_waits_in_order(mower_assessor: Assessor) -> None:
    notebook = Notebook()
    diagnosis = Diagnosis(mower_assessor, keeping=notebook)
    notebook.refuses = "the disk is full"
    diagnosis.add(DEAD)
    with pytest.raises(BadInput, match="the disk is full"):
        diagnosis.commit()
    diagnosis.add(Corrected("fill-up"))
    with pytest.raises(BadInput, match="the disk is full"):
        diagnosis.commit()
    assert diagnosis.waiting == 2
    assert diagnosis.case.events == (DEAD, Corrected("fill-up"))
    notebook.refuses = ""
    diagnosis.commit()
    assert notebook.stored == diagnosis.case
    assert [len(case.events) for case in notebook.written] == [1, 2]


def test_where_another_terminal_was_first_nothing_is_overwritten(mower_assessor: Assessor) -> None:
    notebook = Notebook(Case(events=(DEAD,)))
    diagnosis = Diagnosis(mower_assessor, keeping=notebook)
    notebook.meanwhile = Case(events=(DEAD, STALE, Noted("theirs")))
    diagnosis.add(FRESH)
    with pytest.raises(MovedOn) as news:
        diagnosis.commit()
    assert news.value.lost == (FRESH,)
    assert news.value.theirs == (STALE, Noted("theirs"))
    assert diagnosis.case.events == (DEAD, STALE, Noted("theirs"))
    assert diagnosis.waiting == 0
    diagnosis.add(*news.value.lost)
    diagnosis.commit()
    assert notebook.stored == diagnosis.case


# -- another step than the one advised -----------------------------------------------------------


@pytest.fixture
def stuck(offroad_assessor: Assessor) -> Diagnosis:
    """Three answers have moved nothing."""
    diagnosis = Diagnosis(offroad_assessor)
    diagnosis.add(Complained("harsh", "rear"))
    for _ in range(3):
        diagnosis.add(Answered(diagnosis.assessment.step.target))
    return diagnosis


def test_the_guess_is_the_step_with_its_cautions_until_it_is_taken_back(stuck: Diagnosis) -> None:
    advised, found = stuck.assessment.step, stuck.standstill
    assert found is not None and found.guess is not None
    stuck.turn_to(found.guess)
    assert stuck.assessment.step == stuck.assess().assessment.step == found.guess
    assert stuck.standstill is stuck.assess().standstill is None
    case = stuck.case
    assert stuck.undo()
    assert (stuck.assessment.step, stuck.case) == (advised, case)
    assert stuck.standstill == found
    assert stuck.undo()
    assert stuck.case == case.without_last()


def test_what_was_done_is_taken_back_before_the_choice_that_led_to_it(stuck: Diagnosis) -> None:
    found = stuck.standstill
    assert found is not None and found.guess is not None
    stuck.turn_to(found.guess)
    stuck.add(Noted("by hand"))
    assert stuck.assessment.step == found.guess
    stuck.add(Corrected(found.guess.target))
    # sag is read before anybody rides to prove it
    assert stuck.assessment.step.target == "rear-race-sag-measured"
    stuck.undo()
    assert stuck.assessment.step == found.guess
    assert stuck.turn_back()
    assert not stuck.turn_back()
    assert stuck.assessment.step != found.guess


def test_a_chosen_step_goes_with_an_answer_and_teaches_nothing(stuck: Diagnosis) -> None:
    """The causes stand as the same facts make them stand."""
    found = stuck.standstill
    assert found is not None and found.settling is not None
    ranking = stuck.assessment.ranking
    stuck.turn_to(found.settling)
    assert stuck.assessment.ranking == ranking
    stuck.add(Answered(found.settling.target))
    assert stuck.assessment.step.target != found.settling.target
    assert stuck.standstill is None


def test_who_goes_on_is_not_offered_the_same_again(stuck: Diagnosis) -> None:
    step = stuck.assessment.step
    stuck.go_on()
    assert stuck.standstill is stuck.assess().standstill is None
    assert stuck.assessment.step == step
    stuck.add(Noted("later"))
    assert stuck.standstill is None
    for _ in range(3):
        assert stuck.standstill is None
        stuck.add(Answered(stuck.assessment.step.target))
    assert stuck.standstill is not None
