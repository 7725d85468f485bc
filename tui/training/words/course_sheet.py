"""What the course shows of one trainee at a moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnose.training.course.course import Teaching
from diagnose.training.course.exam import Exam
from diagnose.training.desk import TraineeStanding


@dataclass(frozen=True, slots=True)
class CourseSheet:
    """How the trainee stands `now`, and what there is to learn and to sit."""

    standing: TraineeStanding
    teaching: Teaching
    exams: tuple[Exam, ...]
    now: datetime
