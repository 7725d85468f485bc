"""What is doubtful in a pack's phrases."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.listening.phrase_review import phrase_doubts
from rules.loading.loader import load_packs
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from tests.places import MOWER

SHOP = """
pack: {{id: shop, title: Shop, version: "1", format: 1, about: Invented., builds_on: mower}}
sources: {{shop: {{kind: memory, title: invented}}}}
vocabulary:
  small: {{role: glue, words: [it, is, the], source: shop}}
  no-words: {{role: negative, words: [no, not, never], source: shop}}
heard:
  no-start: {{said: [dead as a doornail, {one}], source: shop}}
  shaky: {{of: vibration, said: [rattles my teeth, {other}], source: shop}}
"""


def shop(folder: Path, one: str, other: str) -> RuleBase:
    (folder / "pack.yaml").write_text(SHOP.format(one=one, other=other))
    return load_packs((MOWER, folder))


def test_sound_phrases_of_a_shop_raise_no_doubt(tmp_path: Path) -> None:
    assert list(phrase_doubts(shop(tmp_path, "not firing up", "hums"))) == []


@pytest.mark.parametrize(
    ("one", "other", "code"),
    [("it is hums", "hums", "phrase-shrinks"), ("hums loudly", "hums loudly", "phrase-shared")],
)
def test_a_doubtful_phrase_is_placed(tmp_path: Path, one: str, other: str, code: str) -> None:
    found = [d for d in phrase_doubts(shop(tmp_path, one, other)) if d.code == code]
    assert len(found) == 1
    assert found[0].file.endswith("pack.yaml")
    assert found[0].line in (8, 9)


@pytest.mark.parametrize(
    ("one", "message"),
    [("a| b", "pattern"), ("ENGINE stops", "no list of words"), ("sound, stiff", None)],
)
def test_a_phrase_that_cannot_be_read_is_refused(
    tmp_path: Path, one: str, message: str | None
) -> None:
    if message is None:
        shop(tmp_path, one, "hums")
        return
    with pytest.raises(FileProblems, match=message):
        shop(tmp_path, one, "hums")
