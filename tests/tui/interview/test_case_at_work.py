"""Which reasons not to ride are shown on a page of their own."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Event
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
