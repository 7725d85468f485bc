"""Packs on one another: what is added, changed and switched off, and who is told when it cannot be."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rules.language.sections import SWITCHABLE
from rules.loading.loader import load_pack, load_packs
from rules.loading.pack_files import OFFROAD
from rules.problems import FileProblems, Problem
from rules.rulebase import Link, RuleBase
from tests.places import MOWER

HEAD = 'pack: {id: %s, title: %s, version: "1", format: 1, about: Invented., builds_on: mower}\n'
SOURCES = "sources: {cards: {kind: memory, title: invented cards}}\n"
SPRING = """
observations:
  recoil-look: {kind: inspection, ask: Is the recoil spring broken?, background: very unlikely, minutes: 1, source: cards}
causes:
  recoil-broken:
    title: Recoil spring broken
    group: starter
    what: The rope is not pulled back.
    per_100: 4
    shows: {no-start: very likely, recoil-look: virtually certain}
    shows_source: cards
    correction: new-recoil
    source: cards
corrections:
  new-recoil: {title: Fit a new recoil spring, steps: [Swap it.], minutes: 20, who: home mechanic, goes_wrong: It springs out., proof: It starts., source: cards}
"""

Shop = Callable[..., Path]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """`shop(text)`: a pack on the mower, with its `pack` and a source added to the text."""

    def make(text: str, name: str = "shop", sources: bool = True) -> Path:
        folder = tmp_path / name
        folder.mkdir()
        head = HEAD % (name, name.capitalize())
        (folder / "ours.yaml").write_text(head + (SOURCES if sources else "") + text, "utf-8")
        return folder

    return make


def stacked(*folders: Path) -> RuleBase:
    return load_packs((MOWER, *folders))


def refused(*folders: Path) -> list[Problem]:
    with pytest.raises(FileProblems) as caught:
        stacked(*folders)
    return list(caught.value.problems)


def link(rules: RuleBase, cause: str, node: str) -> Link:
    (found,) = [item for item in rules.links if (item.cause, item.node) == (cause, node)]
    return found


WHY = "reason: We count them., source: cards"


def test_a_pack_adds_entries_and_they_say_where_they_are_from(shop: Shop, mower: RuleBase) -> None:
    rules = stacked(shop(SPRING))
    assert set(rules.causes) == {*mower.causes, "recoil-broken"}
    assert [info.id for info in rules.packs] == ["mower", "shop"]
    assert rules.title == "Lawn mowers + Shop"
    assert rules.origins["causes", "recoil-broken"].pack == "shop"
    assert rules.origins["causes", "no-fuel"].pack == "mower"
    assert rules.info.id == "mower"


def test_only_what_is_set_changes(shop: Shop, mower: RuleBase) -> None:
    change = f"changes: {{causes: {{stale-fuel: {{set: {{per_100: 20, shows: {{no-start: unlikely}}}}, {WHY}}}}}}}\n"
    rules = stacked(shop(change))
    assert rules.causes["stale-fuel"].per_100 == 20
    assert link(rules, "stale-fuel", "no-start").words == {"yes": "unlikely"}
    assert link(rules, "stale-fuel", "tank-look") == link(mower, "stale-fuel", "tank-look")
    assert rules.causes["stale-fuel"].title == mower.causes["stale-fuel"].title
    assert {k: v for k, v in rules.causes.items() if k != "stale-fuel"} == {
        k: v for k, v in mower.causes.items() if k != "stale-fuel"
    }


def test_what_is_changed_says_who_changed_it_and_why(shop: Shop) -> None:
    change = f"changes: {{causes: {{stale-fuel: {{set: {{per_100: 20, shows: {{no-start: unlikely}}}}, {WHY}}}}}}}\n"
    rules = stacked(shop(change))
    (made,) = rules.changes("causes", "stale-fuel")
    assert (made.pack, made.reason, made.source) == ("shop", "We count them.", ("cards",))
    assert rules.causes["stale-fuel"].source == ("made-up", "cards")
    assert link(rules, "stale-fuel", "no-start").source == ("cards",)
    assert link(rules, "stale-fuel", "tank-look").source == ("made-up",)
    assert rules.origin("causes", "stale-fuel", "per_100").file == "shop/ours.yaml"
    assert rules.origin("causes", "stale-fuel", "shows", "no-start").pack == "shop"
    assert rules.origin("causes", "stale-fuel", "shows", "tank-look").pack == "mower"
    assert rules.origin("causes", "stale-fuel").pack == "mower"


def test_one_place_can_be_told_from_every_place(shop: Shop, mower: RuleBase) -> None:
    """The pack below says `vibration` for deck and handle alike."""
    change = f"changes: {{causes: {{blade-bent: {{set: {{shows: {{vibration/deck: unlikely}}}}, {WHY}}}}}}}\n"
    rules = stacked(shop(change))
    assert link(rules, "blade-bent", "vibration/deck").words == {"yes": "unlikely"}
    assert link(rules, "blade-bent", "vibration/handle") == link(
        mower, "blade-bent", "vibration/handle"
    )


def test_a_key_can_be_taken_out_and_a_rule_be_replaced(shop: Shop) -> None:
    text = f"""
changes:
  causes:
    stale-fuel: {{take_out: {{shows: [tank-look]}}, {WHY}}}
  rules:
    heights-differ: {{set: {{when: {{any: [{{reading: left-height, above: 50 mm}}, {{reading: right-height, above: 50 mm}}]}}}}, {WHY}}}
  policy: {{set: {{ride_minutes: 2, parts_minutes: {{large: 9}}}}, {WHY}}}
"""
    rules = stacked(shop(text))
    assert "tank-look" not in rules.causes["stale-fuel"].shows
    assert rules.rules["heights-differ"].when.any is not None
    assert rules.policy.ride_minutes == 2
    assert rules.policy.parts_minutes["large"] == 9
    assert rules.policy.parts_minutes["small"] == 10


def test_a_change_can_stand_for_several_entries(shop: Shop) -> None:
    text = f"""
changes:
  observations:
    <side>-height: {{for_each: [{{side: left}}, {{side: right}}], set: {{ask: "Height, <side>"}}, {WHY}}}
"""
    rules = stacked(shop(text))
    assert rules.observations["left-height"].ask == "Height, left"
    assert rules.observations["right-height"].ask == "Height, right"


def test_packs_stack_in_the_order_given(shop: Shop, tmp_path: Path) -> None:
    change = "changes: {causes: {no-fuel: {set: {per_100: %s}, %s}}}\n"
    one = shop(change % (11, WHY), "one")
    two = shop(change % (12, WHY), "two", sources=False)
    assert stacked(one, two).causes["no-fuel"].per_100 == 12
    assert [c.pack for c in stacked(one, two).changes("causes", "no-fuel")] == ["one", "two"]
    (problem,) = [p for p in refused(two, one) if "'cards'" in p.message]
    assert problem.file == "two/ours.yaml"  # `cards` is of the pack above it now


def test_a_pack_on_the_one_that_ships_needs_no_word_about_it(tmp_path: Path) -> None:
    folder = tmp_path / "ours"
    folder.mkdir()
    (folder / "a.yaml").write_text((HEAD % ("ours", "Ours")).replace("mower", "offroad"), "utf-8")
    assert [info.id for info in load_pack(folder).packs] == ["offroad", "ours"]
    assert load_packs((OFFROAD, folder)).causes == load_pack(folder).causes


# -- switching off -------------------------------------------------------------------------------


def off(section: str, key: str) -> str:
    return f"switched_off: {{{section}: {{{key}: {{{WHY}}}}}}}\n"


def test_what_is_switched_off_is_gone_and_says_why(shop: Shop, mower: RuleBase) -> None:
    rules = stacked(shop(off("observations", "tank-look")))
    assert "tank-look" not in rules.observations
    assert "tank-look" not in rules.nodes
    assert all(item.node != "tank-look" for item in rules.links)
    gone = rules.off["observations", "tank-look"]
    assert (gone.pack, gone.reason, gone.source) == ("shop", "We count them.", ("cards",))
    assert gone.origin.file == "shop/ours.yaml"
    # the rule that waits for it can never hold, so its finding goes along, and what only that fed
    assert "stood-and-stale" not in rules.rules
    assert rules.off["findings", "sat-and-stale"].named == ("observations", "tank-look")
    assert "stale-fuel" in rules.causes


def test_what_only_a_cause_needed_goes_along_with_it(shop: Shop) -> None:
    rules = stacked(shop(off("causes", "battery-flat")))
    assert set(rules.off) == {
        ("causes", "battery-flat"), ("observations", "charge-lamp"), ("corrections", "charge"),
    }  # fmt: skip


def test_an_either_or_goes_on_with_what_is_left(shop: Shop) -> None:
    text = f"""
changes:
  rules:
    blade-loose:
      set: {{when: {{any: [{{fact: blade-wobble, is: yes}}, {{fact: hit-a-stone, is: yes}}]}}}}
      {WHY.replace(", ", chr(10) + "      ")}
switched_off: {{observations: {{hit-a-stone: {{{WHY}}}}}}}
"""
    rules = stacked(shop(text))
    when = rules.rules["blade-loose"].when
    assert when.any is not None
    assert [leaf.fact for leaf in when.any] == ["blade-wobble"]


def test_a_rule_that_would_always_hold_is_not_left_standing(shop: Shop) -> None:
    text = f"""
changes: {{rules: {{blade-loose: {{set: {{when: {{not: {{fact: hit-a-stone, is: yes}}}}}}, {WHY}}}}}}}
switched_off: {{observations: {{hit-a-stone: {{{WHY}}}}}}}
"""
    (problem,) = refused(shop(text))
    assert "'blade-loose'" in problem.message
    assert "always hold" in problem.message


def test_a_correction_that_causes_need_says_which(shop: Shop) -> None:
    (problem,) = refused(shop(off("corrections", "fill-up")))
    assert problem.file == "shop/ours.yaml"
    assert problem.field == "switched_off.corrections.fill-up"
    assert problem.message.startswith("no-fuel, stale-fuel: put right by it")


EVERY_NAME = [
    (section, key) for section in SWITCHABLE for key in getattr(load_pack(MOWER), section)
]


@pytest.mark.parametrize(("section", "key"), EVERY_NAME)
def test_any_entry_can_be_switched_off_or_says_what_stands_in_the_way(
    shop: Shop, section: str, key: str
) -> None:
    """What is left is a sound pack that names nothing which is gone."""
    try:
        rules = stacked(shop(off(section, key)))
    except FileProblems as error:
        assert all("shop" in str(problem) for problem in error.problems)
        assert section == "corrections"
        return
    assert key not in getattr(rules, section)
    assert {item.cause for item in rules.links} == set(rules.causes)
    assert {item.node for item in rules.links} <= set(rules.nodes)
    assert all(cause.correction in rules.corrections for cause in rules.causes.values())


@settings(
    deadline=None,
    max_examples=5,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_any_entry_of_the_pack_that_ships_too(
    tmp_path_factory: pytest.TempPathFactory, offroad: RuleBase, data: st.DataObject
) -> None:
    section = data.draw(st.sampled_from(["causes", "observations", "findings", "rules"]))
    key = data.draw(st.sampled_from(sorted(getattr(offroad, section))))
    folder = tmp_path_factory.mktemp("off")
    head = (HEAD % ("shop", "Shop")).replace("mower", "offroad")
    (folder / "a.yaml").write_text(head + SOURCES + off(section, key), "utf-8")
    try:
        rules = load_pack(folder)
    except FileProblems as error:
        assert all("shop" in str(problem) for problem in error.problems)
        return
    assert key not in getattr(rules, section)
    assert {item.cause for item in rules.links} == set(rules.causes)


# -- what cannot be done -------------------------------------------------------------------------

REFUSED = {
    "an id that is not there": (
        f"changes: {{causes: {{no-fool: {{set: {{per_100: 2}}, {WHY}}}}}}}", "no-fool:", "did you mean 'no-fuel'",
    ),
    "a switch-off of what is not there": (
        f"switched_off: {{causes: {{no-fool: {{{WHY}}}}}}}", "no-fool:", "did you mean 'no-fuel'",
    ),
    "a change without a reason": (
        "changes: {causes: {no-fuel: {set: {per_100: 2}, source: cards}}}", "no-fuel:", "reason: this key is required",
    ),
    "a change without a source": (
        "changes: {causes: {no-fuel: {set: {per_100: 2}, reason: So.}}}", "no-fuel:", "source: this key is required",
    ),
    "a switch-off without a reason": (
        "switched_off: {causes: {no-fuel: {source: cards}}}", "no-fuel:", "reason: this key is required",
    ),
    "a source nobody defines": (
        "changes: {causes: {no-fuel: {set: {per_100: 2}, reason: So., source: card}}}", "source: card}", "did you mean 'cards'",
    ),
    "a change of nothing": (
        f"changes: {{causes: {{no-fuel: {{{WHY}}}}}}}", "no-fuel:", "give what changes under `set`",
    ),
    "a field that is not there": (
        f"changes: {{causes: {{no-fuel: {{set: {{per_10: 2}}, {WHY}}}}}}}", "per_10:", "did you mean 'per_100'",
    ),
    "a field of the wrong kind": (
        f"changes: {{causes: {{no-fuel: {{set: {{per_100: 99}}, {WHY}}}}}}}", "per_100:", "write a number up to 50",
    ),
    "a word off the scale": (
        f"changes: {{causes: {{no-fuel: {{set: {{shows: {{no-start: often}}}}, {WHY}}}}}}}", "no-start:", "'often' is not on the scale",
    ),
    "a link to what is not there": (
        f"changes: {{causes: {{no-fuel: {{set: {{shows: {{no-stort: likely}}}}, {WHY}}}}}}}", "no-stort:", "did you mean 'no-start'",
    ),
    "a taking out of what is not there": (
        f"changes: {{causes: {{no-fuel: {{take_out: {{shows: [no-stort]}}, {WHY}}}}}}}", "shows: [no-stort]", "did you mean 'no-start'",
    ),
    "a required field taken out": (
        f"changes: {{observations: {{tank-look: {{take_out: {{states: [fresh, stale]}}, {WHY}}}}}}}", "tank-look:", "at least two states",
    ),
    "a section that is not known": (
        f"changes: {{cause: {{no-fuel: {{set: {{per_100: 2}}, {WHY}}}}}}}", "cause:", "did you mean 'causes'",
    ),
    "a caution switched off": (
        f"switched_off: {{cautions: {{plug-lead: {{{WHY}}}}}}}", "cautions:", "not a section that can stand here",
    ),
    "its own entry changed": (
        SPRING + f"changes: {{causes: {{recoil-broken: {{set: {{per_100: 2}}, {WHY}}}}}}}", "recoil-broken: {set", "this pack's own",
    ),
    "an entry given again": (
        "cautions: {plug-lead: {text: Again., source: cards}}", "plug-lead:", "write what differs under `changes: {cautions: …}`",
    ),
    "a scale given again": (
        "scale: {words: {likely: [0, 1]}, source: cards}", "scale:", "under `changes: {scale: …}`",
    ),
    "a list for a mapping": ("changes: [no-fuel]", "changes:", "a mapping of sections"),
    "a list for entries": ("switched_off: {causes: [no-fuel]}", "causes:", "a mapping of ids to entries"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", REFUSED)
def test_a_mistake_names_the_line_and_column_of_the_upper_pack(shop: Shop, mistake: str) -> None:
    text, mark, message = REFUSED[mistake]
    folder = shop(text + "\n")
    whole = (folder / "ours.yaml").read_text(encoding="utf-8")
    at = whole.index(mark)
    place = ("shop/ours.yaml", whole.count("\n", 0, at) + 1, at - whole.rfind("\n", 0, at))
    problems = refused(folder)
    assert place in {(p.file, p.line, p.column) for p in problems if message in str(p)}, problems


def test_a_pack_upset_from_above_says_by_whom(shop: Shop) -> None:
    """The state is taken away above; the cause that shows it stands in the pack below."""
    text = f"changes: {{observations: {{tank-look: {{take_out: {{states: [empty], background: [empty]}}, {WHY}}}}}}}\n"
    (problem,) = refused(shop(text))
    assert problem.file == "mower/pack.yaml"
    assert "'empty' is not one of stale" in problem.message
    assert problem.message.endswith("this was sound before shop changed it")


@pytest.mark.parametrize(
    ("head", "message"),
    [
        ("builds_on: moower", "'moower' is not below it; did you mean 'mower'? (are: mower)"),
        ("about: Again.", "builds_on: mower"),
    ],
)
def test_a_pack_must_fit_on_what_is_below(tmp_path: Path, head: str, message: str) -> None:
    folder = tmp_path / "odd"
    folder.mkdir()
    start = "pack: {id: odd, title: Odd, version: '1', format: 1, "
    about = "about: Invented., " if "about" not in head else ""
    (folder / "a.yaml").write_text(f"{start}{about}{head}}}\n", "utf-8")
    (problem,) = refused(folder)
    assert message in problem.message


def test_the_same_pack_twice_is_refused(shop: Shop) -> None:
    folder = shop("")
    (problem,) = refused(folder, folder)
    assert "a pack with the id 'shop' is loaded already" in problem.message


def test_folders_of_one_name_are_told_apart(shop: Shop, tmp_path: Path) -> None:
    one = shop("")
    other = tmp_path / "elsewhere" / "shop"
    other.mkdir(parents=True)
    (other / "ours.yaml").write_text(HEAD % ("shop-two", "Two") + "colour: red\n", "utf-8")
    (problem,) = refused(one, other)
    assert problem.file == str(other / "ours.yaml")


def test_more_packs_than_anybody_has(shop: Shop) -> None:
    with pytest.raises(FileProblems, match="at most 20"):
        load_packs([MOWER] * 21)


def test_a_file_of_comments_is_no_mistake(shop: Shop) -> None:
    folder = shop("")
    (folder / "notes.yaml").write_text("# nothing yet\n", "utf-8")
    assert stacked(folder).packs[-1].id == "shop"
