"""Which reasons not to ride are shown on a page of their own."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event
from diagnose.diagnosis import Diagnosis
from tui.interview.case_at_work import CaseAtWork


def _at_work(assessor: Assessor, *events: Event) -> CaseAtWork:
    work = CaseAtWork(Diagnosis(assessor, Case(events=events)))
    work.current = work.diagnosis.assess()
    return work


def test_danger_that_is_only_likely_stands_in_the_head_and_has_no_page(
    offroad_assessor: Assessor,
) -> None:
    work = _at_work(
        offroad_assessor, Complained("pulls"), Answered("changed-front-wheel-out", "yes")
    )
    assert any("likely to be dangerous" in reason for reason in work.reasons_not_to_ride())
    assert work.unread_warnings() == ()


def test_what_was_found_has_a_page_until_it_was_read(offroad_assessor: Assessor) -> None:
    work = _at_work(
        offroad_assessor, Complained("knock", "rear"), Answered("frame-crack-look", "cracked")
    )
    assert work.unread_warnings()
    work.acknowledge()
    assert work.unread_warnings() == () and work.reasons_not_to_ride()


def test_one_finding_has_its_page_once_until_it_is_found_anew(offroad_assessor: Assessor) -> None:
    """An answer taken back is no news; what was put right and is there again is."""
    work = _at_work(offroad_assessor, Complained("seal-weep", "front"))

    def said(*events: Event) -> int:
        work.diagnosis.add(*events)
        work.current = work.diagnosis.assess()
        return len(work.unread_warnings())

    assert said() == 1  # a leg weeps above the brake
    work.acknowledge()
    assert said(Answered("oil-on-front-brake", "clean")) == 0
    work.diagnosis.undo()
    assert said() == 0
    assert work.reasons_not_to_ride()
    assert said(Answered("oil-on-front-brake", "on-brake"))
    work.acknowledge()
    assert (
        said(Corrected("clean-front-brake")) == said(Answered("oil-on-front-brake", "clean")) == 0
    )
    assert said(Answered("oil-on-front-brake", "on-brake"))
