"""A folder of case files judged on every core: what came of each, or what is wrong with it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.batch.every_core import each_on_every_core
from diagnose.batch.json_lines import Line, NextStep, Suspect
from diagnose.case.events import Case
from diagnose.case.files import case_from_bytes
from diagnose.listening.listen import listener_of
from diagnose.listening.story_case import heard_case, is_to_be_heard
from diagnose.words.ban_words import ban_texts
from diagnose.words.heard_document import question_items
from diagnose.words.step_words import step_text
from rules.loading.loader import load_packs
from rules.loading.pack_files import OFFROAD, paths_by_label
from rules.problems import BadInput
from rules.yaml_source import MAX_BYTES

FIRST = 5
ENDINGS = {".yaml", ".yml"}


@dataclass(frozen=True, slots=True)
class FileJob:
    """One file of a folder, and what to judge it by; `rules` is a digest of the rule base."""

    folder: Path
    file: str
    packs: tuple[Path, ...]
    rules: str

    def basis(self) -> str:
        """A digest of the file and the rule base. Raises `BadInput` for a file that cannot be
        read."""
        settings = f"\0{self.rules}"
        return _digest(self.contents() + settings.encode())

    def contents(self) -> bytes:
        """What the file holds; of a huge one, just enough to see that. Raises `BadInput`."""
        path = self.folder / self.file
        try:
            with path.open("rb") as file:
                return file.read(MAX_BYTES + 1)
        except OSError as error:
            raise BadInput(f"{path}: {error.strerror or error}") from error

    def is_answered_by(self, line: Line | None) -> bool:
        """Whether a line of an earlier run was made of the same file by the same rule base."""
        if line is None:
            return False
        try:
            return line.basis == self.basis()
        except BadInput:
            return False


def jobs_for(folder: Path, packs: tuple[Path, ...]) -> list[FileJob]:
    """A job per case file of a folder and the folders in it, by name.

    Raises `BadInput` where there is none.
    """
    files = sorted(
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.suffix in ENDINGS and path.is_file()
    )
    if not files:
        raise BadInput(f"{folder}: holds no case file (a file ending in .yaml)")
    rules = rules_digest(packs)
    return [FileJob(folder, file, packs, rules) for file in files]


def judge_all(jobs: list[FileJob]) -> Iterator[Line]:
    """The line of each job, in the order of the jobs, worked out on every core."""
    return each_on_every_core(_judge, jobs)


def rules_digest(packs: tuple[Path, ...]) -> str:
    """A digest of the program and the files of these packs and of the one that ships."""
    files = paths_by_label((OFFROAD, *packs))
    parts = [version("badride").encode()]
    for label in sorted(files):
        parts += [label.encode(), files[label].read_bytes()]
    return _digest(b"\0".join(parts))


def _judge(job: FileJob) -> Line:
    basis = ""
    try:
        basis = job.basis()
        assessor = _assessor(job.packs)
        case = case_from_bytes(assessor.rules, job.contents(), job.file)
        story = None
        if is_to_be_heard(case):
            case, story = heard_case(listener_of(assessor.rules), case)
        asked = () if story is None else tuple(question_items(assessor.rules, story))
        line = _line(job.file, basis, assessor, case, assessor.assess(case))
        return line.model_copy(update={"did_you_mean": asked})
    except BadInput as error:
        return Line(file=job.file, basis=basis, error=str(error))


def _line(file: str, basis: str, assessor: Assessor, case: Case, assessment: Assessment) -> Line:
    rules, step, findings = assessor.rules, assessment.step, assessment.belief.findings
    causes = [item for item in assessment.ranking.causes if item.relevant and not item.corrected]
    return Line(
        file=file,
        basis=basis,
        causes=tuple(
            Suspect(
                id=item.cause,
                name=rules.causes[item.cause].title,
                probability=round(item.probability, 6),
            )
            for item in causes[:FIRST]
        ),
        nothing_listed=round(assessment.ranking.nothing_listed, 6),
        do_not_ride=ban_texts(rules, case, assessment.bans),
        contradictions=tuple(item.text for item in findings.contradictions),
        next_step=NextStep(
            kind=step.kind,
            target=step.target,
            text=step_text(rules, case, step).heading,
            minutes=step.minutes,
        ),
    )


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()[:32]


@lru_cache(maxsize=1)
def _assessor(packs: tuple[Path, ...]) -> Assessor:
    return Assessor(load_packs(packs))
