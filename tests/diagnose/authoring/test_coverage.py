"""Tables of symptoms and causes, held against a rule base."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.authoring.coverage import Covered, cover
from diagnose.authoring.coverage_table import load_table
from diagnose.case.events import Case
from rules.problems import FileProblems

HEAD = "table: 1\ntitle: Ours\nsource: invented\nrows:\n"


def rows(shop: Assessor, tmp_path: Path, body: str) -> list[Covered]:
    path = tmp_path / "table.yaml"
    path.write_text(HEAD + body, encoding="utf-8")
    return cover(shop, load_table(shop.rules, path))


@pytest.mark.parametrize(
    ("symptom", "cause"),
    [
        ("no-start", "no-fuel"),
        ("pull and NOTHING", "Out of  fuel"),
        ("will not start", "out of fuel"),
        ("Shakes (deck)", "blade-bent"),
        ("vibration/deck", "Blade bent or loose"),
    ],
)
def test_ids_titles_and_riders_words_are_known(
    mower_assessor: Assessor, tmp_path: Path, symptom: str, cause: str
) -> None:
    (row,) = rows(mower_assessor, tmp_path, f"  - {{symptom: {symptom}, cause: {cause}}}\n")
    assert row.verdict == "covered"
    assert row.path is not None
    assert row.path.odds.rank == 1
    assert row.path.odds.probability > row.path.odds.prior


def test_strength_and_rank_are_told(mower_assessor: Assessor, tmp_path: Path) -> None:
    (row,) = rows(mower_assessor, tmp_path, "  - {symptom: no-start, cause: plug-worn}\n")
    assert row.path is not None
    assert row.path.words == "Yes: likely"
    case = Case(events=row.row.tellings[0])
    ranking = mower_assessor.model.rank(mower_assessor.model.believe(case))
    relevant = [entry.cause for entry in ranking.causes if entry.relevant]
    assert row.path.odds.rank == relevant.index("plug-worn") + 1
    assert row.path.odds.probability == ranking.find("plug-worn").probability


def test_what_is_not_known_is_a_gap_with_a_hint(mower_assessor: Assessor, tmp_path: Path) -> None:
    (row,) = rows(mower_assessor, tmp_path, "  - {symptom: will not strat, cause: plug wron}\n")
    assert row.verdict == "not known"
    assert row.is_gap
    assert row.row.line == 5
    assert "did you mean 'will not start'?" in row.row.missing[0]
    assert "did you mean 'plug worn'?" in row.row.missing[1]


def test_words_of_its_own_beside_ids(mower_assessor: Assessor, tmp_path: Path) -> None:
    """The best of the ways to tell it, and of the causes it may mean, counts."""
    body = (
        "  - {symptom: will not go, complaints: [vibration, no-start], cause: no spark,"
        " causes: [heights-wrong, plug-worn]}\n"
    )
    (row,) = rows(mower_assessor, tmp_path, body)
    assert row.verdict == "covered"
    assert row.path is not None
    assert (row.path.cause, row.path.told) in {
        ("plug-worn", "no-start"),
        ("heights-wrong", "vibration"),
    }


@pytest.mark.parametrize(
    ("body", "verdict"),
    [
        ("{symptom: shakes, cause: no-fuel}", "no path"),
        ("{symptom: play, found: {blade-wobble: 'yes'}, cause: blade-bent}", "covered"),
        (
            "{symptom: askew, found: {left-height: 40 mm, right-height: 60 mm}, cause: heights-wrong}",
            "covered",
        ),
        (
            "{symptom: askew, found: {left-height: 40 mm, right-height: 41 mm}, cause: heights-wrong}",
            "no path",
        ),
        ("{symptom: rust, cause: rain, left_out: not ours}", "left out"),
    ],
)
def test_verdicts(mower_assessor: Assessor, tmp_path: Path, body: str, verdict: str) -> None:
    (row,) = rows(mower_assessor, tmp_path, f"  - {body}\n")
    assert row.verdict == verdict
    assert row.is_gap == (verdict not in ("covered", "left out"))


@pytest.mark.parametrize(
    ("body", "place", "message"),
    [
        (
            "  - {symptom: no-start, cause: x, causes: [plug-wron]}\n",
            ":5:",
            "did you mean 'plug-worn'?",
        ),
        (
            "  - {symptom: s, cause: plug-worn, complaints: [no-strat]}\n",
            ":5:",
            "did you mean 'no-start'?",
        ),
        (
            "  - symptom: s\n    cause: plug-worn\n    found: {blade-wobble: maybe}\n",
            ":7:",
            "give one of no, yes",
        ),
        (
            "  - {symptom: s, cause: plug-worn, complaints: [no-start], found: {blade-wobble: 'yes'}}\n",
            ":5:",
            "not both",
        ),
        ("  - {symptom: no-start}\n", ":5:", "cause"),
        ("  []\n", ":4:", ""),
    ],
)
def test_mistakes_are_told_with_their_line(
    mower_assessor: Assessor, tmp_path: Path, body: str, place: str, message: str
) -> None:
    with pytest.raises(FileProblems) as error:
        rows(mower_assessor, tmp_path, body)
    assert f"table.yaml{place}" in str(error.value)
    assert message in str(error.value)


def test_a_cause_that_only_a_question_shows_cannot_be_checked(
    mower_assessor: Assessor, tmp_path: Path
) -> None:
    """The charge lamp is a question: that is not a check."""
    (row,) = rows(mower_assessor, tmp_path, "  - {symptom: no-start, cause: battery-flat}\n")
    assert row.verdict == "cannot be checked"
