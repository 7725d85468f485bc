"""A case that was left goes on where it stopped."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import Scenario, draw_scenario
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import HandOver, Observe
from diagnose.training.play.unfinished import Unfinished
from rules.problems import BadInput


@pytest.fixture
def scenario(mower_assessor: Assessor, mower_guide: Guide) -> Scenario:
    return draw_scenario(mower_assessor.rules, mower_guide, 4, "single")


def test_it_goes_on_after_each_kept_step_and_is_forgotten_at_the_end(
    tmp_path: Path, mower_assessor: Assessor, mower_guide: Guide, scenario: Scenario
) -> None:
    kept = Unfinished(tmp_path / "training")
    encounter = kept.go_on(mower_assessor, mower_guide, scenario)
    assert encounter.steps == ()
    for name in ("tank-look", "hit-a-stone"):
        encounter.take(Observe(name))
        kept.keep(encounter)
        again = kept.go_on(mower_assessor, mower_guide, scenario)
        assert again.log() == encounter.log() and again.case == encounter.case
    encounter.take(HandOver())
    kept.keep(encounter)
    assert list((tmp_path / "training").iterdir()) == []


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", '{"format": 2}', '{"format": 1, "id": "4:single", "log": [{"move": {"do": "observe", "observation": "gone"}, "cautions_read": false, "hints": 0}]}'],
)  # fmt: skip
def test_a_file_that_cannot_go_on_is_named_and_left(
    tmp_path: Path, mower_assessor: Assessor, mower_guide: Guide, scenario: Scenario, text: str
) -> None:
    path = tmp_path / "mower_4_single.json"
    path.write_text(text)
    with pytest.raises(BadInput, match=r"mower_4_single\.json: this case cannot go on"):
        Unfinished(tmp_path).go_on(mower_assessor, mower_guide, scenario)
    assert path.read_text() == text


def test_cases_are_told_apart(
    tmp_path: Path, mower_assessor: Assessor, mower_guide: Guide, scenario: Scenario
) -> None:
    kept = Unfinished(tmp_path)
    encounter = Encounter(mower_assessor, mower_guide, scenario)
    encounter.take(Observe("tank-look"))
    kept.keep(encounter)
    other = draw_scenario(mower_assessor.rules, mower_guide, 4)
    assert kept.go_on(mower_assessor, mower_guide, other).steps == ()
