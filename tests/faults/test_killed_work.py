"""Backup, restore and upgrade killed with SIGKILL at random moments: what they worked on is as it was
or as it should be, and nothing stays behind. What was killed is a process, not the computer."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from rules.rulebase import RuleBase
from tests.faults.work_to_kill import WORK, how_long, killed_after, make_sound, moments

KILLS = 200


@pytest.mark.parametrize("name", WORK)
def test_killed_work_is_done_whole_or_not_at_all(
    name: str,
    tmp_path: Path,
    mower: RuleBase,
    tell: Callable[[str, str], None],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    work, look = WORK[name]
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(temporary))
    sound, here = tmp_path / "sound", tmp_path / "here"
    make_sound(sound, mower)
    shutil.copytree(sound, here)
    longest = how_long(partial(work, here))
    cut_off = done = 0
    for moment in moments(longest, KILLS, seed=5):
        shutil.rmtree(here)
        shutil.copytree(sound, here)
        cut_off += not killed_after(partial(work, here), moment)
        done += look(here, mower)
        left = [p.name for p in (*here.rglob("*"), *temporary.rglob("*")) if "unready" in p.name]
        assert left == [], moment
    assert cut_off > KILLS // 4
    tell(
        f"{name} killed at random moments",
        f"{KILLS} kills, {cut_off} in the middle of it; {done} had written all, the others nothing",
    )
