"""A part goes into a file that a person wrote, and nothing else of it changes."""

from __future__ import annotations

import difflib

import pytest

from rules.writing.insertion import CannotInsert, inserted

OURS = """\
# ours, since the wet spring – 20 °C, über 3 N·m

causes:   # what we see
  mud:
    title: Mud   # a note
    shows:
      harsh/rear: likely
    steps:
      - one
  sand: {title: Sand, shows: {harsh/rear: likely}}

# the checks
observations:
  look:
    how: >-
      From behind,
      with a lamp.

# corrections:
#   none: yet
"""


def only_added(before: str, after: str) -> str:
    rows = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    assert not [row for row in rows if row.startswith("- ")], rows
    return "\n".join(row[2:] for row in rows if row.startswith("+ "))


def test_an_entry_goes_to_the_end_of_its_section() -> None:
    made = inserted(
        OURS, ("causes", "clay"), {"title": "Clay", "tools": ["a", "b"]}, {"title": "short"}
    )
    assert only_added(OURS, made) == "  clay:\n    title: Clay  # short\n    tools: [a, b]"
    assert made.index("clay:") < made.index("# the checks")
    made = inserted(OURS, ("observations", "feel"), {"minutes": 1})
    assert only_added(OURS, made) == "  feel:\n    minutes: 1"
    assert made.index("feel:") < made.index("# corrections:")


def test_a_key_goes_into_a_mapping_however_it_is_written() -> None:
    made = inserted(OURS, ("causes", "mud", "shows", "look"), "very likely")
    assert only_added(OURS, made) == "      look: very likely"
    asked = "a: {ask: Is it wet?, list: [one]}\n"  # not every reader takes a mark before a comma
    assert inserted(asked, ("a", "list"), ["one", "two"]) == asked.replace("[one]", "[one, two]")
    made = inserted(OURS, ("causes", "sand", "shows", "look"), "very likely")
    assert "  sand: {title: Sand, shows: {harsh/rear: likely, look: very likely}}\n" in made


def test_what_is_not_there_yet_is_made() -> None:
    made = inserted(OURS, ("changes", "causes", "x", "set"), {"per_100": 2})
    assert made.endswith(
        "#   none: yet\n\nchanges:\n  causes:\n    x:\n      set:\n        per_100: 2\n"
    )
    assert inserted("# only words\n", ("a", "b"), "yes") == "# only words\na:\n  b: 'yes'\n"
    assert inserted("", ("a", "b"), ["two words"]) == "a:\n  b: [two words]\n"


def test_a_value_is_replaced_where_it_stands_in_a_line() -> None:
    made = inserted(OURS, ("causes", "mud", "title"), "Wet mud")
    assert "    title: Wet mud   # a note\n" in made
    assert len(made.splitlines()) == len(OURS.splitlines())
    with pytest.raises(CannotInsert):
        inserted(OURS, ("observations", "look", "how"), "Look.")


@pytest.mark.parametrize("text", ["causes:\n", "causes: [one]\n", "a: b: c\n", "causes: {}\nx"])
def test_where_there_is_no_place_nothing_is_written(text: str) -> None:
    with pytest.raises(CannotInsert):
        inserted(text, ("causes", "clay"), {"title": "Clay"})
