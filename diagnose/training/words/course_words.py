"""What of a course is called what."""

from __future__ import annotations

from diagnose.training.course.course import Course
from diagnose.training.course.repetition import RepeatItem
from diagnose.training.customers.guide import Guide
from diagnose.training.desk import RETURN_WITHIN

_AWAY = int(RETURN_WITHIN.total_seconds() / 60)
LEAVING_EXAM_CASE = (
    f"Back within {_AWAY} minutes it goes on from this step; left for longer it is given back as "
    "it stands, and scored so."
)
"""What leaving a case of an exam comes to."""


def item_title(guide: Guide, course: Course, item: RepeatItem) -> str:
    """What an item is called."""
    if item.kind == "lesson":
        return f"lesson {item.id}: {course.lesson(item.id).title}"
    if item.kind == "group":
        return f"causes: {item.id.replace('-', ' ')}"
    titles = {str(key): note.title for key, note in guide.scoring.measures.items()}
    return f"weak point: {titles.get(item.id, item.id)}"
