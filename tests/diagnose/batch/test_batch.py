"""Many case files: one line each, whatever is wrong with one of them, and never done twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.batch.folders import FileJob, jobs_for, judge_all
from diagnose.batch.json_lines import Line, line_file, read_lines
from diagnose.case.files import load_case
from rules.loading.pack_files import OFFROAD
from rules.problems import BadInput
from rules.yaml_source import MAX_BYTES
from tests.places import MOWER


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    cases = tmp_path / "cases"
    (cases / "deep").mkdir(parents=True)
    (cases / "a.yaml").write_text("case: 1\ncomplaints: [no-start]\nanswers: {tank-look: stale}\n")
    (cases / "deep" / "b.yml").write_text("case: 1\ncomplaints: [no-start]\n")
    (cases / "notes.txt").write_text("not a case")
    return cases


def jobs(folder: Path) -> list[FileJob]:
    return jobs_for(folder, (MOWER,))


def test_each_file_gets_what_the_workshop_makes_of_it(
    folder: Path, mower_assessor: Assessor
) -> None:
    first, second = judge_all(jobs(folder))
    assert (first.file, second.file) == ("a.yaml", "deep/b.yml")
    expected = mower_assessor.assess(load_case(mower_assessor.rules, folder / "a.yaml"))
    assert first.causes[0].id == expected.ranking.causes[0].cause
    assert first.causes[0].probability == pytest.approx(
        expected.ranking.causes[0].probability, abs=1e-6
    )
    assert first.next_step is not None
    assert first.next_step.target == expected.step.target


def test_what_a_story_leaves_to_be_asked_stands_in_its_line(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("case: 1\nstory: rear is harsh. forks at 9\n")
    (tmp_path / "b.yaml").write_text("case: 1\ncomplaints: [harsh/rear]\n")
    told, plain = judge_all(jobs_for(tmp_path, (OFFROAD,)))
    assert [question.asks for question in told.did_you_mean] == ["figure"]
    assert "What is 9 psi" in told.did_you_mean[0].text
    assert plain.did_you_mean == ()
    with line_file(tmp_path / "out.jsonl", [told]):
        pass
    assert read_lines(tmp_path / "out.jsonl") == {"a.yaml": told}


BAD = {
    "no-such-complaint.yaml": (b"case: 1\ncomplaints: [no-strat]\n", "no-such-complaint.yaml:2"),
    "no-text.yaml": (b"\xff\xfe\x00", "UTF-8"),
    "too-large.yaml": (b"a: " + b"x" * MAX_BYTES, "split the file"),
    "torn.yaml": (b"case: 1\ncomplaints: [no-start]\nanswers: {tank-look: [}\n", "torn.yaml:3"),
    "empty.yaml": (b"", "empty.yaml"),
}


def test_a_bad_file_says_so_and_stops_no_other(folder: Path) -> None:
    for name, (raw, _) in BAD.items():
        (folder / name).write_bytes(raw)
    lines = {line.file: line for line in judge_all(jobs(folder))}
    for name, (_, said) in BAD.items():
        assert said in str(lines[name].error), name
    assert lines["a.yaml"].error is None
    assert lines["deep/b.yml"].error is None


def test_a_line_holds_until_the_file_or_what_judges_it_changes(folder: Path) -> None:
    job = jobs(folder)[0]
    (line, _) = judge_all(jobs(folder))
    assert job.is_answered_by(line)
    assert not job.is_answered_by(None)
    assert not jobs_for(folder, ())[0].is_answered_by(line)
    (folder / "a.yaml").write_text("case: 1\ncomplaints: [no-start]\n")
    assert not job.is_answered_by(line)


def test_lines_come_back_and_one_cut_short_is_dropped(tmp_path: Path) -> None:
    out = tmp_path / "out.jsonl"
    assert read_lines(out) == {}
    told = [Line(file=name, basis="x") for name in ("a", "b")]
    with line_file(out, told[:1]) as lines:
        lines.add(told[1])
    assert list(read_lines(out).values()) == told
    out.write_bytes(out.read_bytes() + b'{"file": "c", "ba')
    assert list(read_lines(out)) == ["a", "b"]


def test_another_kind_of_file_is_not_overwritten(tmp_path: Path) -> None:
    out = tmp_path / "diary.txt"
    out.write_text("dear diary\n")
    with pytest.raises(BadInput, match=r"diary\.txt:1: not a line"):
        read_lines(out)
    assert out.read_text() == "dear diary\n"


def test_a_folder_without_cases_or_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="holds no case file"):
        jobs(tmp_path)
    with (
        pytest.raises(BadInput, match="No such file or directory"),
        line_file(tmp_path / "no" / "out.jsonl", []),
    ):
        pass
