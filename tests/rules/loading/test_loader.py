"""A pack loads whole or says where it is wrong."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rules.loading.loader import load_pack
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from tests.places import MOWER

Edit = Callable[..., Path]
PACK = MOWER / "pack.yaml"


def problems(folder: Path) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        load_pack(folder)
    return [str(problem) for problem in caught.value.problems]


def line_of(text: str) -> int:
    rows = PACK.read_text(encoding="utf-8").splitlines()
    return next(number for number, row in enumerate(rows, 1) if text in row)


def test_the_small_pack_loads(mower: RuleBase) -> None:
    assert list(mower.causes)[:2] == ["no-fuel", "stale-fuel"]
    assert mower.nodes["tank-look"].states == ("fresh", "stale", "empty")
    assert mower.nodes["vibration/deck"].title == "Shakes (deck)"
    assert mower.origins[("causes", "no-fuel")].line == line_of("  no-fuel:")


def test_words_become_the_middle_of_their_range(mower: RuleBase) -> None:
    link = next(k for k in mower.links if (k.cause, k.node) == ("stale-fuel", "tank-look"))
    assert link.chances == pytest.approx((0.055, 0.945, 0.0))


def test_a_complaint_named_without_place_links_to_all_its_places(mower: RuleBase) -> None:
    nodes = {k.node for k in mower.links if k.cause == "blade-bent"}
    assert {"vibration/deck", "vibration/handle"} <= nodes


@pytest.mark.parametrize(
    ("old", "new", "where", "message"),
    [
        ("correction: fill-up\n    needs", "needs", "  no-fuel:", "causes.no-fuel.correction: this key is required"),
        ("    per_100: 10\n", "    per_100: lots\n", "    per_100: 10", "causes.no-fuel.per_100"),
        ("    shows_source: made-up\n", "    shows_source: nowhere\n", "    shows_source: made-up", "'nowhere' is not defined"),
        ("tank-look: {stale: very likely}", "tank-luck: {stale: very likely}", "tank-look: {stale: very likely}", "did you mean 'tank-look'"),
        ("no-start: virtually certain, tank", "no-start: dead sure, tank", "no-start: virtually certain, tank", "'dead sure' is not on the scale"),
        ("tank-look: {empty: virtually", "tank-look: {full: virtually", "tank-look: {empty: virtually", "'full' is not one of stale, empty"),
        ("    title: Out of fuel\n", "    title: Out of fuel\n    colour: red\n", "    title: Out of fuel", "this key is not known here"),
        ("cautions: [plug-lead]\n    source", "cautions: [plug-leed]\n    source", "    cautions: [plug-lead]", "did you mean 'plug-lead'"),
        ("  stale-fuel:\n", "  no-fuel:\n", "  stale-fuel:", "already given on line"),
        ("background: {stale: very unlikely, empty: exceptionally unlikely}", "background: {stale: very unlikely}", "background: {stale: very unlikely, empty", "say how often empty is seen anyway"),
        ("steps: [Drain it., Fill it.],", "steps: [Drain it., Fill it.], look_after: tank-luck,", "  fill-up: {title: Fill", "did you mean 'tank-look'"),
        ("{none: exceptionally unlikely}\n", "{none: exceptionally unlikely}\n    unsettled_by: {tank-luck: stale}\n    settles: {plug-worn: none}\n", "{none: exceptionally unlikely}", "did you mean 'tank-look'"),
        ("{none: exceptionally unlikely}\n", "{none: exceptionally unlikely}\n    unsettled_by: {tank-look: full}\n    settles: {plug-worn: none}\n", "{none: exceptionally unlikely}", "'full' is not defined"),
        ("{none: exceptionally unlikely}\n", "{none: exceptionally unlikely}\n    unsettled_by: {tank-look: stale}\n", "  spark-seen:", "is for an entry that `settles` something"),
        ("ask: Does the plug spark?\n", "ask: Does the plug spark?\n    brings: tank-luck\n", "    ask: Does the plug spark?", "'tank-luck' is not defined"),
        ("ask: Does the plug spark?\n", "ask: Does the plug spark?\n    brings: tank-look\n", "    ask: Does the plug spark?", "tank-look has no state 'yes'"),
        ("correction: new-plug", "correction: new-plugs", "    correction: new-plug", "'new-plugs' is not defined"),
        ("needs: {engine: electric}\n    source: made-up\n\nfindings", "needs: {engine: steam}\n    source: made-up\n\nfindings", "    needs: {engine: electric}", "'steam' is not one of petrol, electric"),
        ("above: target x 1.5", "above: target x lots", "above: target x 1.5", "'target x lots' is not a limit"),
        ("exceptionally unlikely: [0, 0.01]", "exceptionally unlikely: [0, 0.5]", "  words:", "least to most likely"),
        ("limits: [0 mm, 5 mm]", "limits: [5 mm, 0 mm]", "limits: [0 mm, 5 mm]", "lowest, highest"),
        ("gone: [0.86, 0.05, 0.02, 0.97]", "gone: [0.96, 0.05, 0.02, 0.97]", "policy:", "must add up to 1"),
        ("{reading: left-height, differs", "{reading: hit-a-stone, differs", "    when: {reading: left-height", "is not a measurement"),
        ("note: tank-look, needs", "note: tank-luck, needs", "  fuel: {title: Fresh", "did you mean 'tank-look'"),
        ("note: tank-look, needs: {engine: petrol}", "note: tank-look, needs: {motor: petrol}", "  fuel: {title: Fresh", "'motor' is not a trait"),
        ("every: 10 h", "every: 10 mm", "  gap: {title: Plug gap", "`every` is `ride` or an amount in h, days"),
        ("every: 10 h", "every: now and then", "  gap: {title: Plug gap", "'now and then' is not a number with a unit"),
        ("every: 10 h, note: plug-gap-reading", "every: 10 h", "  gap: {title: Plug gap", "an interval counts from a `note`"),
        ("cautions: [plug-lead], source: made-up}\n", "cautions: [lead], source: made-up}\n", "  gap: {title: Plug gap", "'lead' is not defined"),
        ("{sparks: It sparks, none: No spark}", "{sparks: It sparks, none: No spark, a: A, b: B, c: C, d: D, e: E, f: F}", "  spark-seen:", "at most 7 can be told apart"),
        ("module: tests}", "module: tests, page: p. 3}", "", ""),
    ],
)  # fmt: skip
def test_a_mistake_is_found_where_it_stands(
    edited_pack: Edit, old: str, new: str, where: str, message: str
) -> None:
    folder = edited_pack(old, new)
    if not message:
        load_pack(folder)  # the edit that is no mistake
        return
    found = [p for p in problems(folder) if message in p]
    assert found
    line = int(found[0].split(":")[1])
    assert abs(line - line_of(where)) <= 1, found[0]


@pytest.mark.parametrize("entry", ["causes", "observations", "corrections", "cautions", "specs"])
def test_no_entry_loads_without_a_source(edited_pack: Edit, entry: str) -> None:
    first = {
        "causes": "    correction: fill-up\n    needs: {engine: petrol}\n    source: made-up\n",
        "observations": "minutes: 0.3, source: made-up}",
        "corrections": "proof: It starts., source: made-up}",
        "cautions": "before you touch the blade., called_for_by: [fresh oil], source: made-up}",
        "specs": "large: 0.8 mm}, source: made-up}",
    }[entry]
    stripped = first.replace("    source: made-up\n", "").replace(", source: made-up", "")
    assert any(
        p.endswith("source: this key is required") and entry in p
        for p in problems(edited_pack(first, stripped))
    )


def test_a_published_source_must_be_complete(edited_pack: Edit) -> None:
    folder = edited_pack("{kind: memory, title: invented", "{kind: published, title: invented")
    assert any("needs author, year" in p for p in problems(folder))


def test_rules_that_go_in_a_circle_are_refused(edited_pack: Edit) -> None:
    folder = edited_pack(
        '- {fact: stood-all-winter, is: "yes"}\n        - {fact: tank-look, is: stale}',
        '- {fact: sat-and-stale, is: "yes"}\n        - {fact: tank-look, is: stale}',
    )
    assert any("go in a circle: stood-and-stale" in p for p in problems(folder))


def test_what_nothing_uses_is_a_mistake(edited_pack: Edit) -> None:
    folder = edited_pack(
        "shows: {no-start: virtually certain, charge-lamp: very likely}",
        "shows: {no-start: virtually certain}",
    )
    assert any("charge-lamp: no cause shows it" in p for p in problems(folder))


def test_the_same_id_in_two_files_names_both(edited_pack: Edit) -> None:
    folder = edited_pack("module: tests}", "module: tests}")
    (folder / "second.yaml").write_text(
        "cautions:\n  plug-lead: {text: Again., source: made-up}\n", encoding="utf-8"
    )
    found = problems(folder)
    assert any("second.yaml:2:3" in p and "pack.yaml, line" in p for p in found)


def test_all_problems_come_at_once(edited_pack: Edit) -> None:
    folder = edited_pack("    title: Out of fuel\n", "    colour: red\n")
    assert len(problems(folder)) >= 2


@pytest.mark.parametrize(
    "text",
    ["", "- a list\n", "causes: []\n", "nonsense: {}\n", "causes: {A b: {}}\n", "causes: ~\n"],
)
def test_a_file_that_is_no_pack(tmp_path: Path, text: str) -> None:
    (tmp_path / "x.yaml").write_text(text, encoding="utf-8")
    assert problems(tmp_path)


def test_an_empty_folder(tmp_path: Path) -> None:
    assert "no .yaml files" in problems(tmp_path)[0]


def test_for_each_writes_an_entry_once_per_row(edited_pack: Edit) -> None:
    folder = edited_pack(
        "  left-height: {kind: measurement, ask: Left wheel height,",
        "  <side>-height:\n    {for_each: [{side: left}, {side: right}], kind: measurement, ask: <side> wheel height,",
    )
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    start = text.index("  right-height:")
    text = text[:start] + text[text.index("\n", start) + 1 :]
    (folder / "pack.yaml").write_text(text, encoding="utf-8")
    rules = load_pack(folder)
    assert rules.observations["right-height"].ask == "right wheel height"


@pytest.mark.parametrize(
    ("rows", "message"),
    [("[]", "1 to 40"), ("[{side: 3}]", "maps names to words"), ("[{other: x}]", "not given")],
)
def test_bad_for_each(edited_pack: Edit, rows: str, message: str) -> None:
    folder = edited_pack("  left-height: {kind:", f"  <side>-height: {{for_each: {rows}, kind:")
    assert any(message in p for p in problems(folder))


TEXT = PACK.read_text(encoding="utf-8")


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_a_garbled_pack_never_gives_a_traceback(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    start = data.draw(st.integers(0, len(TEXT) - 1))
    length = data.draw(st.integers(0, 40))
    junk = data.draw(st.text(alphabet="a0:-[]{}\n ,'\"<>&*!é\x00", max_size=12))
    folder = tmp_path_factory.mktemp("garbled")
    (folder / "pack.yaml").write_text(
        TEXT[:start] + junk + TEXT[start + length :], encoding="utf-8"
    )
    try:
        load_pack(folder)
    except FileProblems as error:
        assert all(p.file and p.line >= 1 and p.message for p in error.problems)
