"""How what is on record stands to how it should."""

from __future__ import annotations

from datetime import timedelta

import pytest

from diagnose.records.bikes.against_baseline import differences
from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_input import read_facts, read_figure, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry
from diagnose.words.bike_words import bike_line
from diagnose.words.settings import on_record, way_back
from rules.rulebase import RuleBase
from tests.clocks import TODAY
from tests.mower_bikes import settable_pack
from tui.bikes.bike_lines import difference_lines


@pytest.fixture(scope="module")
def rules(tmp_path_factory: pytest.TempPathFactory) -> RuleBase:
    return settable_pack(tmp_path_factory.mktemp("pack"))


def tyre(rules: RuleBase, *texts: str, figure: str = "", baseline: str = "") -> Bike:
    """A bike whose tyre was read as each of `texts`, one after the other."""
    entries: list[BikeEntry] = []
    if figure:
        entries.append(read_figure(rules, f"tyre-pressure={figure}", "page 4", TODAY))
    if baseline:
        entries.append(read_setting(rules, f"tyre-gauge={baseline}", TODAY, baseline=True))
    entries += [read_setting(rules, f"tyre-gauge={text}", TODAY) for text in texts]
    return fold_bike("x", entries)


@pytest.mark.parametrize(
    ("figure", "baseline", "now", "words"),
    [
        ("", "", "15 psi", ""),
        ("0.9 bar", "", "15 psi", "0.13 bar less"),
        ("0.9 bar", "16 psi", "0.8 bar", "0.1 bar more"),
        ("", "0.9 bar", "15 psi", "0.13 bar less"),
        ("", "15 psi", "15 psi", ""),
        # the same but for the rounding of either
        ("13 psi", "", "0.9 bar", ""),
        ("13 psi", "", "13.1 psi", "0.1 psi less"),
    ],
)
def test_the_way_back_leads_to_the_manuals_figure_or_else_to_the_baseline(
    rules: RuleBase, figure: str, baseline: str, now: str, words: str
) -> None:
    """In the unit in which that was given, and to nothing where neither is on record."""
    (row,) = differences(rules, tyre(rules, now, figure=figure, baseline=baseline))
    assert way_back(row) == words


def test_a_first_reading_leads_nowhere_later(rules: RuleBase) -> None:
    """What was noted without a tick is not what later readings are counted from."""
    (row,) = differences(rules, tyre(rules, "15 psi", "12 psi"))
    assert way_back(row) == ""
    told = "\n".join(difference_lines(rules, [row], every=True))
    assert "15 psi" not in told
    (said,) = difference_lines(rules, [row], every=False)
    assert said.startswith("Nothing to set right")
    both = tyre(rules, "12 psi", baseline="15 psi")
    assert "3 psi more" in "\n".join(difference_lines(rules, differences(rules, both), every=False))


@pytest.mark.parametrize(
    ("state", "baseline", "words"), [("yes", "no", "set back"), ("no", "no", ""), ("yes", "", "")]
)
def test_a_state_is_set_back_only_to_a_baseline(
    mower: RuleBase, state: str, baseline: str, words: str
) -> None:
    """There is no distance between states."""
    name = next(
        key for key, entry in mower.observations.items() if list(entry.states) == ["no", "yes"]
    )
    entries: list[BikeEntry] = []
    if baseline:
        entries.append(read_setting(mower, f"{name}={baseline}", TODAY, baseline=True))
    entries.append(read_setting(mower, f"{name}={state}", TODAY))
    (row,) = differences(mower, fold_bike("x", entries))
    assert way_back(row) == words


@pytest.mark.parametrize(
    ("figure", "reading", "words", "is_off"),
    [
        ("0.9 bar", "0.8 bar", "0.8 bar, should be 0.9 bar as given", False),
        ("0.9 bar", "0.5 bar", "0.5 bar, should be 0.9 bar as given", True),
        ("0.9 bar", "25 psi", "25 psi, should be 0.9 bar as given", True),
        ("0.9 bar", "0.9 bar", "0.9 bar", False),
        ("", "12 psi", "12 psi", False),
        ("", "25 psi", "25 psi, should be 12.5 psi rule of thumb", True),
    ],
)
def test_the_bands_of_the_pack_say_what_is_off(
    offroad: RuleBase, figure: str, reading: str, words: str, is_off: bool
) -> None:
    """The manual's figure is named wherever it is not met, a rule of thumb where it is missed."""
    entries: list[BikeEntry] = [read_setting(offroad, f"front-tyre-gauge={reading}", TODAY)]
    if figure:
        entries.append(read_figure(offroad, f"front-tyre-pressure={figure}", "page 4", TODAY))
    found = on_record(offroad, fold_bike("x", entries), "front-tyre-gauge")
    assert found is not None
    assert (found.words, found.is_off, found.on) == (words, is_off, TODAY)


def test_each_edge_of_a_band_falls_as_in_a_case(offroad: RuleBase) -> None:
    """Of the target 13 psi the pack allows 11 to 15.5."""
    figure = read_figure(offroad, "front-tyre-pressure=13 psi", "page 4", TODAY)

    def is_off(psi: float) -> bool:
        noted = read_setting(offroad, f"front-tyre-gauge={psi} psi", TODAY)
        found = on_record(offroad, fold_bike("x", [figure, noted]), "front-tyre-gauge")
        assert found is not None
        return found.is_off

    assert [is_off(psi) for psi in (10.9, 11, 15.5, 15.6)] == [True, False, False, True]


def test_a_state_is_off_when_it_is_not_the_normal_one(offroad: RuleBase, mower: RuleBase) -> None:
    """And of what was never noted, or that the rule base does not know, nothing is said."""
    name = "linkage-bolts-torque"
    normal, *others = offroad.observations[name].states
    for state in (normal, others[0]):
        bike = fold_bike("x", [read_setting(offroad, f"{name}={state}", TODAY)])
        found = on_record(offroad, bike, name)
        assert found is not None
        assert found.words == offroad.observations[name].states[state]
        assert found.is_off == (state != normal)
        assert on_record(mower, bike, name) is None
    assert on_record(offroad, Bike("x"), name) is None


def test_a_bike_with_figures_is_not_said_to_go_by_rules_of_thumb(rules: RuleBase) -> None:
    """Whatever of its kind is only assumed."""
    plain = fold_bike("x", [])
    assert "rules of thumb" in bike_line(rules, plain.machine)
    figure = read_figure(rules, "tyre-pressure=13 psi", "page 4", TODAY - timedelta(days=1))
    known = bike_line(rules, fold_bike("x", [figure]).machine)
    assert known == "usual kind assumed; 1 figure by the manual"
    petrol = fold_bike("x", [figure, read_facts(rules, ["engine=petrol"], None)])
    assert bike_line(rules, petrol.machine).endswith("1 more assumed; 1 figure by the manual")
