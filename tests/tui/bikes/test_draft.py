"""A bike while it is added or edited: what is kept of it, and what another terminal may do."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_facts, read_figure, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import Clash
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tests.clocks import TODAY
from tests.mower_bikes import memory_store, settable_pack, stock
from tui.bikes.bike_draft import BikeDraft, Fact, figures_of, keep_draft, settings_of


@pytest.fixture(scope="module")
def rules(tmp_path_factory: pytest.TempPathFactory) -> RuleBase:
    return settable_pack(tmp_path_factory.mktemp("pack"))


@pytest.fixture
def store(rules: RuleBase) -> Store:
    kept = memory_store()
    stock(kept, rules)
    return kept


def test_a_new_bike_is_kept_with_its_values_as_written(rules: RuleBase, store: Store) -> None:
    """Kind, use, figure with where it was read, and a baseline."""
    draft = BikeDraft.of(Bike("")).called("  New  one ").with_use("woods, 75 kg in gear")
    draft = draft.with_trait(rules, "engine", "electric")
    draft = draft.with_figure(rules, "tyre-pressure", "0,9 bar", "manual, page 7", TODAY)
    draft = draft.with_setting(rules, "lever-clicks", "5 clicks", TODAY)
    bike = keep_draft(BikeBook(store), draft)
    assert (bike.name, bike.use, bike.traits) == (
        "New one",
        "woods, 75 kg in gear",
        {"engine": "electric"},
    )
    figure = bike.targets["tyre-pressure"]
    assert (str(figure.quantity), figure.read_in) == ("0.9 bar", "manual, page 7")
    assert str(bike.baseline["lever-clicks"].answer.reading) == "5 clicks"


def test_only_what_changes_is_added_to_the_journal(rules: RuleBase, store: Store) -> None:
    """One figure: one entry."""
    book = BikeBook(store)
    before = book.read("Demo 250")
    draft = BikeDraft.of(before).with_figure(rules, "lever-setting", "5", "manual", TODAY)
    assert keep_draft(book, draft).version == before.version + 1
    assert BikeDraft.of(before).entries() == []


def test_a_kept_figure_goes_back_to_the_rule_of_thumb(rules: RuleBase, store: Store) -> None:
    """And a second time drops the change."""
    fact = Fact("figure", "tyre-pressure")
    draft = BikeDraft.of(BikeBook(store).read("Demo 250")).without(fact, TODAY)
    assert "tyre-pressure" not in draft.machine.targets
    assert not draft.without(fact, TODAY).changed()
    assert "tyre-pressure" not in keep_draft(BikeBook(store), draft).targets


@pytest.mark.parametrize(
    ("text", "words"), [("13 kg", "pressure"), ("soft", "'soft'"), ("13 xyz", "xyz")]
)
def test_a_bad_value_is_named(rules: RuleBase, text: str, words: str) -> None:
    """With what would be accepted."""
    with pytest.raises(BadInput, match=words):
        BikeDraft.of(Bike("")).with_figure(rules, "tyre-pressure", text, "manual", TODAY)


def test_what_does_not_fit_the_machine_is_not_asked(rules: RuleBase) -> None:
    """Figures and settings follow the kind of machine; counted hours are no settings."""
    petrol = BikeDraft.of(Bike(""))
    electric = petrol.with_trait(rules, "engine", "electric")
    assert "cell-gap" not in set(settings_of(rules, petrol))
    assert "cell-gap" in set(settings_of(rules, electric))
    assert "cell-voltage-gap" not in set(figures_of(rules, petrol))
    assert "cell-voltage-gap" in set(figures_of(rules, electric))
    assert not {"hours-blade", "lever-clicks-noted"} & set(settings_of(rules, petrol))


def test_changes_go_on_top_of_what_another_terminal_kept(rules: RuleBase, store: Store) -> None:
    """The first attempt clashes and writes nothing; on the newer bike both changes stand."""
    book = BikeBook(store)
    mine = BikeDraft.of(book.read("Demo 250")).with_trait(rules, "size", "large")
    mine = mine.with_figure(rules, "tyre-pressure", "15 psi", "manual", TODAY)
    theirs: list[BikeEntry] = [
        read_facts(rules, [], "woods"),
        read_figure(rules, "tyre-pressure=14 psi", "sticker", TODAY),
    ]
    other = book.append("Demo 250", theirs)
    with pytest.raises(Clash):
        keep_draft(book, mine)
    assert book.read("Demo 250").version == other.version
    assert mine.also_changed_in(other) == [Fact("figure", "tyre-pressure")]
    both = keep_draft(book, mine.on(other))
    assert (both.use, both.traits["size"]) == ("woods", "large")
    assert str(both.targets["tyre-pressure"].quantity) == "15 psi"


def test_a_name_that_is_taken_leaves_everything_as_it_was(rules: RuleBase, store: Store) -> None:
    """Neither the name nor the other changes are kept."""
    book = BikeBook(store)
    book.add("Other", [])
    before = book.read("Demo 250")
    draft = BikeDraft.of(before).called("OTHER").with_trait(rules, "size", "large")
    with pytest.raises(BadInput, match="already"):
        keep_draft(book, draft)
    assert book.read("Demo 250") == before


_CHANGES = st.lists(
    st.sampled_from(
        ["size=small", "size=large", "engine=electric", "13 psi", "0,9 bar", "none", "back"]
    ),
    max_size=6,
)


@given(first=_CHANGES, second=_CHANGES)
def test_what_the_draft_shows_is_what_is_kept(
    rules: RuleBase, first: list[str], second: list[str]
) -> None:
    """For any changes, kept in two goes."""
    book = BikeBook(memory_store())
    draft = BikeDraft.of(Bike("")).called("Any")
    for changes in (first, second):
        for change in changes:
            if "=" in change:
                draft = draft.with_trait(rules, *change.split("="))
            elif change == "none":
                draft = draft.without(Fact("figure", "tyre-pressure"), TODAY)
            elif change == "back":
                draft = draft.without(Fact("trait", "size"), TODAY)
            else:
                draft = draft.with_figure(rules, "tyre-pressure", change, "manual", TODAY)
        kept = keep_draft(book, draft)
        assert kept.machine == draft.machine
        draft = BikeDraft.of(kept)


def test_a_baseline_of_another_terminal_is_noticed(rules: RuleBase, store: Store) -> None:
    """Settings are compared by what they say."""
    book = BikeBook(store)
    bike = book.read("Demo 250")
    mine = BikeDraft.of(bike).with_setting(rules, "lever-clicks", "3", TODAY)
    other = book.append("Demo 250", [read_setting(rules, "lever-clicks=2", TODAY, baseline=True)])
    assert mine.also_changed_in(bike) == []
    assert mine.also_changed_in(other) == [Fact("setting", "lever-clicks")]
    assert mine.also_changed_in(replace(bike, use="mud")) == []
