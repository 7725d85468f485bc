"""What a rule base rests on, counted by kind and grade of source."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from rules.loading.loader import load_pack
from rules.review.provenance import provenance
from rules.rulebase import RuleBase

Edit = Callable[..., Path]
BOOK = "{kind: published, author: A, title: T, year: 2001, grade: book or paper, seen: in the original}"


def test_every_entry_and_link_is_counted_once_under_its_weightiest_source(
    mower: RuleBase, edited_pack: Edit
) -> None:
    before = {row.rank: row for row in provenance(mower)}
    assert sum(row.links for row in before.values()) == len(mower.links)
    assert (before["memory"].sources, before["computed"].sources) == (1, 1)
    folder = edited_pack(
        "    shows_source: made-up\n    correction: new-plug",
        "    shows_source: made-up\n    shown_in: {no-start: book}\n    correction: new-plug",
    )
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    (folder / "pack.yaml").write_text(
        text.replace("  plug-gap-sum:", f"  book: {BOOK}\n  plug-gap-sum:"), encoding="utf-8"
    )
    after = {row.rank: row for row in provenance(load_pack(folder))}
    assert next(iter(after)) == "book or paper"
    book = after["book or paper"]
    assert (book.sources, book.entries, book.links) == (1, 0, 1)
    assert after["memory"].links == before["memory"].links - 1


def test_a_source_says_its_grade_and_stands_on_its_own_link_only(offroad: RuleBase) -> None:
    text = str(offroad.sources["inspection-uk-2002"])
    assert text.endswith("(standard or law, as quoted elsewhere)")
    for link in offroad.links:
        own = offroad.causes[link.cause].shown_in
        printed = [name for name in link.source if offroad.sources[name].kind == "published"]
        assert not printed or set(printed) <= {s for names in own.values() for s in names}
    front = next(x for x in offroad.links if (x.cause, x.node) == ("front-rim-bent", "headshake"))
    assert "wheels-workshop-road500-1978" in front.source
    rear = {name for x in offroad.links if x.cause == "rear-rim-bent" for name in x.source}
    assert rear == {"memory-strengths"}
