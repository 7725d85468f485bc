"""Mistakes put into a sound pack one at a time: each is found where it was made."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.authoring.pack_review import review_packs
from rules.problems import FileProblems
from rules.review.check_report import MEANINGS, ReportItem, items
from tests.places import MOWER

Edit = Callable[..., Path]

SAME_FACTS = "{reading: left-height, differs_from: right-height, by: 5 mm}"
STALE_TWICE = "{no-start: likely, tank-look: {stale: very likely}, stood-all-winter: very likely, sat-and-stale: likely}"

# what is seeded: (text, what it becomes, level, code, the text whose line and column are named)
SEEDED = {
    "a cause that nothing can confirm": (
        "tank-look: {empty: virtually certain}", "tank-look: {empty: unlikely}",
        "warning", "unconfirmed", "no-fuel:\n",
    ),
    "an observation that separates nothing": (
        "hit-a-stone: very likely", "hit-a-stone: unlikely",
        "warning", "tells-nothing", "hit-a-stone:\n",
    ),
    "two causes that nothing tells apart": (
        "shows: {no-start: virtually certain, tank-look: {empty: virtually certain}}", f"shows: {STALE_TWICE}",
        "warning", "not-told-apart", f"shows: {STALE_TWICE}",
    ),
    "an unsafe cause without a safety check": (
        "    safety: true\n", "",
        "warning", "no-safety-check", "unsafe: true",
    ),
    "a correction whose proof says nothing": (
        "proof: It cuts level.", 'proof: "- n/a"',
        "warning", "no-proof", 'proof: "- n/a"',
    ),
    "a correction without proof": (
        ", proof: It cuts level.", "",
        "error", "missing", "set-heights:",
    ),
    "a hazardous step without its caution": (
        "called_for_by: [fresh oil]", "called_for_by: [swap]",
        "warning", "no-caution", "Swap it.], minutes: 5",
    ),
    "a part that is hazardous without its caution": (
        "{title: Charge the battery,", "{title: Charge the battery, parts_list: [Fresh oil],",
        "warning", "no-caution", "Fresh oil]",
    ),
    "a ride test that no caution of a ride goes before": (
        "  charge-lamp:\n    kind: question", "  charge-lamp:\n    kind: ride-test",
        "warning", "no-caution", "charge-lamp:\n    kind",
    ),
    "a sentence cut into steps at its commas": (
        "steps: [Plug it in.]", "steps: [Plug it in, then wait.]",
        "warning", "cut-sentence", "Plug it in, then",
    ),
    "a published source of no kind of print": (
        "  plug-gap-sum: {kind", "  book: {kind: published, author: A, title: T, year: 2001, seen: in the original}\n  plug-gap-sum: {kind",
        "warning", "ungraded", "book: {kind",
    ),
    "a source for what the cause does not show": (
        "    shows_source: made-up\n    correction: new-plug", "    shows_source: made-up\n    shown_in: {vibration/deck: made-up}\n    correction: new-plug",
        "warning", "unused", "vibration/deck: made-up}",
    ),
    "strengths without a source": (
        "    shows_source: made-up\n    correction: new-plug", "    correction: new-plug",
        "error", "missing", "plug-worn:",
    ),
    "a rule that no reading can meet": (
        "{reading: plug-gap-reading, above: 3 mm}", "{reading: plug-gap-reading, above: 6 mm}",
        "warning", "unreachable", "when:\n      all:\n        - {fact: spark-seen",
    ),
    "a rule that asks for two states at once": (
        "        - {fact: tank-look, is: stale}", "        - {fact: tank-look, is: stale}\n        - {fact: tank-look, is: fresh}",
        "warning", "unreachable", 'when:\n      all:\n        - {fact: stood-all-winter',
    ),
    "a rule for a machine that has no such check": (
        "        - {fact: tank-look, is: stale}", "        - {fact: tank-look, is: stale}\n        - {fact: charge-lamp, is: yes}",
        "warning", "unreachable", 'when:\n      all:\n        - {fact: stood-all-winter',
    ),
    "two rules that contradict each other": (
        "rules:\n", f"rules:\n  even:\n    when: {SAME_FACTS}\n    then: {{finding: {{heights-unequal: equal}}}}\n    source: made-up\n",
        "warning", "contradictory", "heights-unequal: unequal}}",
    ),
    "a narrow rule that a wider one overrules": (
        "rules:\n",
        "rules:\n  wide:\n    when: {fact: stood-all-winter, is: yes}\n    then: {finding: {sat-and-stale: yes}}\n    source: made-up\n"
        "  narrow:\n    when: {all: [{fact: stood-all-winter, is: yes}, {fact: tank-look, is: empty}]}\n    then: {finding: {sat-and-stale: no}}\n    source: made-up\n",
        "warning", "contradictory", "sat-and-stale: no}}",
    ),
    "a rule that says what another says": (
        "rules:\n", f"rules:\n  again:\n    when: {SAME_FACTS}\n    then: {{finding: {{heights-unequal: unequal}}}}\n    source: made-up\n",
        "warning", "repeated", f"when: {SAME_FACTS}\n    then: {{finding: {{heights-unequal: unequal}}}}\n    source: made-up\n  stood",
    ),
    "two rules that judge the same reading apart": (
        "rules:\n", "rules:\n  wide-gap:\n    when: {reading: left-height, above: 60 mm}\n    then: {finding: {heights-unequal: unequal}}\n    source: made-up\n"
        "  tall:\n    when: {reading: left-height, below: 80 mm}\n    then: {finding: {heights-unequal: equal}}\n    source: made-up\n",
        "warning", "contradictory", "heights-unequal: equal}}",
    ),
    "a cause that shows what another shows": (
        "  battery-flat:\n", "  battery-dead:\n    title: Battery dead\n    group: power\n    what: The battery is dead.\n    per_100: 10\n"
        "    shows: {no-start: virtually certain, charge-lamp: very likely}\n    shows_source: made-up\n    correction: charge\n"
        "    not_separable_from: [battery-flat]\n    needs: {engine: electric}\n    source: made-up\n  battery-flat:\n",
        "warning", "repeated", "shows: {no-start: virtually certain, charge-lamp: very likely}\n    shows_source: made-up\n    correction: charge\n    needs",
    ),
    "a finding that says again what a cause shows": (
        "rules:\n", "rules:\n  winter:\n    when: {fact: stood-all-winter, is: yes}\n    then: {finding: {sat-and-stale: yes}}\n    source: made-up\n",
        "warning", "counted-twice", "sat-and-stale: yes}}",
    ),
    "a text too long for the bench": (
        "what: The tank is empty.", f"what: {'Much too long. ' * 38}",
        "warning", "wordy", "what: Much too long.",
    ),
    "a title longer than is taken": (
        "title: Out of fuel", f"title: {'Out of fuel ' * 20}",
        "error", "string-too-long", "title: Out of fuel",
    ),
    "a limit in a unit that does not fit": (
        "below: target - 0.2 mm", "below: target - 0.2 psi",
        "error", "quantity", "below: target - 0.2 psi",
    ),
    "a target of another kind": (
        "plug-gap: {title: Plug gap, unit: mm, by: size, default: {small: 0.6 mm, large: 0.8 mm}", "plug-gap: {title: Plug gap, unit: psi, by: size, default: {small: 6 psi, large: 8 psi}",
        "error", "quantity", "target: plug-gap",
    ),
    "a unit nobody knows": (
        "ask: Left wheel height, unit: mm", "ask: Left wheel height, unit: furlong",
        "error", "value-error", "unit: furlong",
    ),
    "a band beyond what can be read": (
        "above: target x 1.5", "above: 7 mm",
        "warning", "out-of-range", "above: 7 mm",
    ),
    "a word off by a letter": (
        "    correction: new-plug\n", "    correction: new-plugs\n",
        "error", "reference", "correction: new-plugs",
    ),
    "a drawing that is not there": (
        "cautions:\n  plug-lead:", "pictures:\n  plug: {file: plug.svg, title: Plug, description: A plug from its side., source: made-up}\ncautions:\n  plug-lead:",
        "error", "drawing", "file: plug.svg",
    ),
    "a caution that nothing carries": (
        "cautions:\n  plug-lead:", "cautions:\n  wear-shoes: {text: Wear shoes., source: made-up}\n  plug-lead:",
        "warning", "unused", "wear-shoes:",
    ),
}  # fmt: skip


def found_in(folder: Path) -> list[ReportItem]:
    try:
        return items((), review_packs((folder,)))
    except FileProblems as error:
        return items(error.problems, ())


@pytest.fixture(scope="module")
def before() -> set[tuple[str, str]]:
    """What is doubtful in the pack as it stands."""
    return {(i.code, i.field) for i in found_in(MOWER)}


@pytest.mark.parametrize("seeded", SEEDED)
def test_a_seeded_mistake_is_found_where_it_was_made(
    edited_pack: Edit, before: set[tuple[str, str]], seeded: str
) -> None:
    old, new, level, code, mark = SEEDED[seeded]
    folder = edited_pack(old, new)
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    at = text.index(mark)
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    fresh = [i for i in found_in(folder) if (i.code, i.field) not in before]
    assert (level, code, line) in {(i.level, i.code, i.line) for i in fresh}, fresh
    # inside a line the column is that of the field or of the item of a list that it names
    hit = next(i for i in fresh if (i.code, i.line) == (code, line))
    assert hit.column == column, (hit, column)
    assert hit.file == "edited/pack.yaml"


def test_every_kind_of_doubt_is_seeded_and_explained() -> None:
    stacked = {"no-change", "safety-off", "lone-group", "never"}  # these need more than one edit
    phrases = {code for code in MEANINGS if code.startswith("phrase-")}  # see test_phrase_review
    seeded = {code for _, _, _, code, _ in SEEDED.values()}
    assert set(MEANINGS) - stacked - phrases <= seeded
    assert {code for _, _, level, code, _ in SEEDED.values() if level == "warning"} <= set(MEANINGS)
