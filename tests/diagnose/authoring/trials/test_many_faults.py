"""Bikes with several faults at once, worked by the program's advice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.authoring.trials.many_faults import (
    MOST_FAULTS,
    TOLD_AT_ONCE,
    ManyFaultsCounts,
    ManyFaultsOutcome,
    counts_of,
    draw_bike,
    faults_of,
    work_bike,
    work_bikes,
)
from diagnose.authoring.trials.measures import Share, by_number_of_causes, reliability_of
from diagnose.authoring.trials.working import Decision
from diagnose.simulation.intervals import Average
from rules.loading.pack_files import OFFROAD
from rules.rulebase import RuleBase
from tests.places import MOWER

BIKES = 200
LEAST_FELT_PUT_RIGHT = 0.88
LEAST_NONE_WRONG = 0.80
WHAT_IS_COUNTED = {
    "complaint gone": "cured",
    "felt faults corrected": "felt_put_right",
    "all faults corrected": "all_put_right",
    "no wrong correction": "none_wrong",
    "closed, not handed over": "closed",
}
MEDIANS = {"median minutes": "minutes", "median answers": "observations"}


def test_a_dozen_bikes_are_counted_consistently(mower_assessor: Assessor) -> None:
    rules = mower_assessor.rules
    ran = [work_bike(mower_assessor, seed, faults_of(seed)) for seed in range(12)]
    for seed, one in enumerate(ran):
        causes = one.outcome.truth.causes
        assert one.faults == len(set(causes)) == faults_of(seed)
        assert one.felt
        assert one.felt | one.put_right <= set(causes)
        assert one.felt_put_right or not one.all_put_right
        assert len(one.wrong) <= one.outcome.corrections
        assert not set(one.wrong) & {rules.causes[cause].correction for cause in causes}
        assert one.unsafe == any(rules.causes[cause].unsafe for cause in causes)
        assert one.outcome.decision.true == causes
        # what is proven gone is what was complained of
        assert one.outcome.cured <= bool(one.put_right)
        assert 0 <= one.idle <= one.outcome.observations
    found = counts_of(ran)
    shares = [getattr(found, name) for name in WHAT_IS_COUNTED.values()]
    assert all(share.cases == found.bikes == 12 for share in shares)
    assert all(share.low <= share.value <= share.high for share in shares)
    assert found.all_put_right.times <= found.felt_put_right.times
    assert found.missed <= found.unsafe
    assert found.held + found.needless <= found.bikes - found.unsafe
    assert not any(one.shown and not one.banned for one in ran)
    assert found.minutes.low <= found.minutes.mean <= found.minutes.high
    apart = [counts_of([one for one in ran if one.faults == n]) for n in range(1, MOST_FAULTS + 1)]
    for name in WHAT_IS_COUNTED.values():
        assert sum(getattr(part, name).times for part in apart) == getattr(found, name).times


def test_the_same_bikes_go_the_same_way_on_every_core(mower_assessor: Assessor) -> None:
    alone = [work_bike(mower_assessor, seed, faults_of(seed)) for seed in range(3)]
    assert work_bikes((MOWER,), range(3)) == alone


def test_a_rider_tells_felt_complaints_three_at_most(offroad: RuleBase) -> None:
    for seed in range(20):
        bike = draw_bike(offroad, seed, faults_of(seed))
        told = (bike.truth.complaint, *bike.truth.also)
        assert len(bike.truth.causes) == faults_of(seed)
        assert set(told) <= set(bike.felt())
        assert len(set(told)) == min(TOLD_AT_ONCE, len(bike.felt()))


def test_more_faults_than_a_bike_can_have_are_refused(mower: RuleBase) -> None:
    with pytest.raises(ValueError, match="has fewer than 99 causes"):
        draw_bike(mower, 1, 99)


@pytest.mark.long
def test_two_hundred_bikes(capsys: pytest.CaptureFixture[str]) -> None:
    ran = work_bikes((OFFROAD,), range(BIKES))
    found = counts_of(ran)
    with capsys.disabled():
        print("", *_table(ran), *_calibration([one.outcome.decision for one in ran]), sep="\n")
    assert found.felt_put_right.value >= LEAST_FELT_PUT_RIGHT
    assert found.none_wrong.value >= LEAST_NONE_WRONG


def _table(ran: Sequence[ManyFaultsOutcome]) -> Iterator[str]:
    numbers = range(1, MOST_FAULTS + 1)
    tallies = [
        *(counts_of([one for one in ran if one.faults == n]) for n in numbers),
        counts_of(ran),
    ]
    yield _row("faults", [*map(str, numbers), "any"])
    yield _row("bikes", [str(one.bikes) for one in tallies])
    for title, name in WHAT_IS_COUNTED.items():
        yield _row(title, [_share(getattr(one, name)) for one in tallies])
    yield _row("unsafe bikes", [str(one.unsafe) for one in tallies])
    yield _row("  never forbidden to ride", [str(one.missed) for one in tallies])
    yield _row("safe bikes", [str(one.bikes - one.unsafe) for one in tallies])
    yield _row("  forbidden for what shows", [str(one.held) for one in tallies])
    yield _row("  forbidden for nothing", [str(one.needless) for one in tallies])
    for title, name in MEDIANS.items():
        yield _row(title, [_median(one, name) for one in tallies])
    for one in ran:
        if not one.felt_put_right or one.wrong or one.unsafe != one.banned:
            left = sorted(one.felt - one.put_right)
            yield (
                f"bike {one.seed}: {', '.join(one.outcome.truth.causes)}; felt and left {left},"
                f" wrong {list(one.wrong)}, unsafe {one.unsafe}, forbidden {one.banned}"
            )


def _calibration(decisions: Sequence[Decision]) -> Iterator[str]:
    yield "Chances at the first correction, by number of faults:"
    for name, group in {**by_number_of_causes(decisions), "any": list(decisions)}.items():
        found = reliability_of(group)
        yield (
            f"  {name:4} {len(group):3} bikes: Brier score {found.brier:.3f} ="
            f" reliability {found.split.reliability:.3f} - resolution {found.split.resolution:.3f}"
            f" + uncertainty {found.split.uncertainty:.3f}, inside the bins {found.inside:+.3f}"
        )
        shown = (f"{b.forecast:.0%}: {b.came_true:.0%} of {b.count}" for b in found.bins)
        yield f"       there at a chance of {'; '.join(shown)}"


def _row(title: str, cells: Sequence[str]) -> str:
    return f"{title:26}" + "".join(f"{cell:>20}" for cell in cells)


def _share(share: Share) -> str:
    return f"{share.value:.2f} ({share.low:.2f} to {share.high:.2f})"


def _median(found: ManyFaultsCounts, name: str) -> str:
    value: Average = getattr(found, name)
    return f"{value.mean:.0f} ({value.low:.0f} to {value.high:.0f})"
