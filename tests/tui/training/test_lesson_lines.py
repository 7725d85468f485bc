"""The course line by line, on the pack that ships."""

from __future__ import annotations

from diagnose.training.course.course import load_teaching
from rules.loading.pack_files import OFFROAD
from rules.rulebase import RuleBase
from tui.training.plain.lesson_lines import unit_lines


def test_the_first_unit_says_in_words_what_its_drawings_show(offroad: RuleBase) -> None:
    teaching = load_teaching(offroad, (OFFROAD,))
    unit = teaching.course.units[0]
    told = " ".join(" ".join(unit_lines(unit, teaching)).split())
    for word in ("Free leg", "Preload", "Rebound", "Sag", "Rake", "Trail"):
        assert word in unit.drawn and f"{word}: {unit.words[word]}" in told
    for picture in set(unit.drawn.values()):
        assert told.count(f"Drawing: {offroad.pictures[picture].description}") == 1
