"""Exams: the same cases for everybody, no hints, and the time noted."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from diagnose.authoring.pack_review import review_packs
from diagnose.training.course.course import Teaching, load_teaching
from diagnose.training.course.exam import Exam, exam_files, find_exam, load_exam, write_exam
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.play.moves import HandBack
from rules.language.courses import MOST_SEED
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase
from tests.clocks import Ticking
from tests.places import MOWER


def test_an_exam_is_sat_to_the_end_and_goes_on_where_it_was_left(desk: TrainingDesk) -> None:
    exam = find_exam(desk.teaching, "short")
    assert exam.cases == ("dead-2", "8:single")
    sitting = desk.begin_sitting("Ann", exam)
    first = desk.next_exam_case("Ann", sitting)
    assert first is not None and first.attempt.begun.lesson == "dead-2"
    with pytest.raises(BadInput, match="no hints"):
        first.hint()
    first.take(first.view().advised)
    assert desk.begin_sitting("Ann", exam).number == sitting.number
    again = desk.next_exam_case("Ann", sitting)
    assert again is not None and len(again.steps) == 1
    work(again, Advised())
    under_way = desk.standing("Ann")
    assert under_way.progress.score.cases == 0
    assert not under_way.sat[0].complete and not under_way.sat[0].passed
    second = desk.next_exam_case("Ann", sitting)
    assert second is not None and second.scenario.id == "8:single"
    work(second, Advised())
    assert desk.next_exam_case("Ann", sitting) is None
    desk.end_sitting("Ann", sitting)
    result = desk.standing("Ann").sat[0]
    assert result.complete and result.passed and result.minutes > 0
    assert result.mean == pytest.approx(sum(score or 0 for score in result.scores) / 2)
    assert desk.standing("Ann").progress.score.cases == 2
    assert desk.begin_sitting("Ann", exam).number > sitting.number


def drawn(teaching: Teaching, folder: Path, wait: int = 7) -> Exam:
    path = folder / "drawn.yaml"
    path.write_text(f"exam: 1\ntitle: Drawn\ndraw: [single, any, 'any:fuel']\nwait_days: {wait}\n")
    return load_exam(teaching, path)


def test_a_sitting_draws_cases_that_nobody_can_practise(
    desk: TrainingDesk, mower_teaching: Teaching, tmp_path: Path
) -> None:
    """By the shop's secret, another for every trainee, above every seed that can be played."""
    exam = drawn(mower_teaching, tmp_path)
    desk.trainees.add("Bob")
    sittings = [desk.begin_sitting(name, exam) for name in ("Ann", "Bob")]
    assert sittings[0].begun.cases != sittings[1].begun.cases
    for sitting in sittings:
        seeds = [int(case.partition(":")[0]) for case in sitting.begun.cases]
        assert min(seeds) > MOST_SEED and len(seeds) == 3
        assert sitting.begun.advised is not None and sitting.begun.advised > 70
    own = tmp_path / "own.yaml"
    own.write_text(f"exam: 1\ntitle: X\ncases: ['{sittings[0].begun.cases[0]}']\n")
    with pytest.raises(FileProblems, match="a seed is at most"):
        load_exam(mower_teaching, own)


def test_the_next_sitting_has_to_wait_and_draws_anew(
    desk: TrainingDesk, mower_teaching: Teaching, tmp_path: Path, calendar: Ticking
) -> None:
    exam = drawn(mower_teaching, tmp_path)
    first = desk.begin_sitting("Ann", exam)
    desk.end_sitting("Ann", first, given_up=True)
    with pytest.raises(BadInput, match="can be sat again from"):
        desk.begin_sitting("Ann", exam)
    calendar.sleep(7)
    assert set(desk.begin_sitting("Ann", exam).begun.cases).isdisjoint(first.begun.cases)


def test_a_case_of_an_exam_cannot_be_left_and_come_back_to(
    desk: TrainingDesk, calendar: Ticking
) -> None:
    sitting = desk.begin_sitting("Ann", find_exam(desk.teaching, "short"))
    left = desk.next_exam_case("Ann", sitting)
    assert left is not None
    left.take(left.view().advised)
    calendar.sleep(1)
    after = desk.next_exam_case("Ann", sitting)
    assert after is not None and after.scenario.id != left.scenario.id and not after.steps
    score = desk.standing("Ann").sat[0].scores[0]
    assert score is not None and score < 30


def test_cases_not_done_count_as_nothing_once_given_up(desk: TrainingDesk) -> None:
    sitting = desk.begin_sitting("Ann", find_exam(desk.teaching, "short"))
    case = desk.next_exam_case("Ann", sitting)
    assert case is not None
    work(case, Advised())
    desk.end_sitting("Ann", sitting, given_up=True)
    result = desk.standing("Ann").sat[0]
    assert result.scores[1] is None
    assert result.mean == pytest.approx((result.scores[0] or 0) / 2)
    assert not result.passed


def test_a_machine_let_out_unsafe_fails_the_exam(desk: TrainingDesk) -> None:
    sitting = desk.begin_sitting("Ann", find_exam(desk.teaching, "short"))
    for _ in sitting.begun.cases:
        case = desk.next_exam_case("Ann", sitting)
        assert case is not None
        case.take(HandBack())
    result = desk.standing("Ann").sat[0]
    assert result.complete and not result.passed


def test_what_was_written_is_read_back(tmp_path: Path, mower_teaching: Teaching) -> None:
    path = tmp_path / "ours.yaml"
    path.write_text(write_exam('Friday: "the hard one"', ["007", "dead-1", "8:single:fuel"]))
    exam = load_exam(mower_teaching, path)
    assert (exam.name, exam.title) == ("ours", 'Friday: "the hard one"')
    assert exam.cases == ("7", "dead-1", "8:single:fuel")
    assert exam.pass_mark == mower_teaching.guide.scoring.pass_mark
    assert find_exam(mower_teaching, str(path)) == exam


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("exam: 1\ntitle: X\ncases: [7, 7]", "ours.yaml:3:12: error[case] at cases[1]: '7' stands here already"),
        ("exam: 1\ntitle: X\ncases: [dead-9]", "names no case; write a seed, as in 7, 7:single or 7:single:tyres, or the id of a lesson"),
        ("exam: 1\ntitle: X\ncases: ['7:singel']", "'singel' is not a level; did you mean 'single'?"),
        ("exam: 1\ntitle: X\ncases: ['7::fule']", "'fule' is not a theme; did you mean 'fuel'?"),
        ("exam: 1\ntitle: X\ncases: []", "at cases"),
        ("exam: 1\ntitle: X", "give either `cases` or `draw`"),
        ("exam: 1\ntitle: X\ndraw: [singel]", "at draw[0]: 'singel' is not a level; did you mean 'single'?"),
        ("exam: 1\ntitle: X\ncases: [7]\npass_mark: 80", "`pass_mark` needs a `source`"),
        ("exam: 1\ntitle: X\ncases: [7]\npass_mark: 180\nsource: made-up", "at pass_mark"),
        ("exam: 1\ntitle: X\ncases: [7]\nsource: hearsay", "'hearsay' is not a source"),
        ("exam: 1\ncases: [7]", "at title: this key is required"),
        ("exam: 1\ntitle: X\ncases: [7]\nhints: true", "at hints: this key is not known here"),
        ("exam: 1\ntitle: X\ncases: ['worked:nothing']", "is not a worked case"),
    ],
)  # fmt: skip
def test_an_exam_with_a_mistake_is_refused_naming_file_line_and_field(
    tmp_path: Path, mower_teaching: Teaching, text: str, said: str
) -> None:
    path = tmp_path / "ours.yaml"
    path.write_text(text)
    with pytest.raises(FileProblems) as caught:
        load_exam(mower_teaching, path)
    assert f"{path}:" in str(caught.value)
    assert said in str(caught.value)


def test_the_check_of_a_pack_looks_at_its_course_and_its_exams(tmp_path: Path) -> None:
    pack = tmp_path / "mower"
    shutil.copytree(MOWER, pack)
    review_packs((pack,))
    exam = pack / "training" / "exams" / "short.yaml"
    exam.write_text(exam.read_text().replace("dead-2", "dead-9"))
    with pytest.raises(FileProblems, match=r"short\.yaml:4:9: error\[case\] at cases\[0\]"):
        review_packs((pack,))
    course = pack / "training" / "course.yaml"
    course.write_text(course.read_text().replace("theme: fuel", "theme: feul"))
    with pytest.raises(FileProblems, match=r"course\.yaml:18:.*'feul' is not a theme"):
        review_packs((pack,))


def test_an_unknown_exam_names_those_there_are(mower_teaching: Teaching) -> None:
    with pytest.raises(BadInput, match=r"did you mean 'short'.*there are: short"):
        find_exam(mower_teaching, "shorter")


def test_the_shipped_exam_can_be_sat(offroad: RuleBase) -> None:
    teaching = load_teaching(offroad, ())
    assert list(exam_files(teaching.folders)) == ["bench"]
    exam = find_exam(teaching, "bench")
    assert exam.count == 6 and exam.wait_days > 0 and not exam.cases
