"""Paths as people write them."""

from __future__ import annotations

from pathlib import Path

import pytest

from rules.given_paths import given_path
from rules.problems import BadInput


def test_a_path_is_what_was_written_with_the_home_folder_for_its_sign(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("HOME", "/home/invented")
    assert given_path("~/case.yaml") == Path("/home/invented/case.yaml")
    assert given_path("./~/case.yaml") == Path("~/case.yaml")
    assert given_path("a/../b") == Path("a/../b")


@pytest.mark.parametrize(
    ("text", "says"),
    [("~nosuchuser/x", "no home folder"), ("a\0b", "cannot hold"), ("x" * 300, "too long"),
     ("/" + "x/" * 4000, "too long"), ("\ud800", "cannot hold")],
)  # fmt: skip
def test_what_can_be_no_path_is_told_in_words(text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says) as told:
        given_path(text)
    assert len(str(told.value)) < 300


def test_links_in_a_circle_are_told_and_one_that_leads_nowhere_is_a_path(tmp_path: Path) -> None:
    (tmp_path / "circle").symlink_to("circle")
    (tmp_path / "nowhere").symlink_to("not-there-yet")
    with pytest.raises(BadInput, match="symbolic links"):
        given_path(str(tmp_path / "circle"))
    assert given_path(str(tmp_path / "nowhere")) == tmp_path / "nowhere"
