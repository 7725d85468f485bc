"""A pack's training guide: read, and refused where something in it cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.training.customers.guide import Guide, causes_of, load_guide, theme_named
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase
from tests.places import MOWER


def test_a_theme_holds_its_groups_and_its_named_causes(mower: RuleBase, mower_guide: Guide) -> None:
    blade = causes_of(mower, theme_named(mower_guide, "blade"))
    assert blade == {"blade-bent", "heights-wrong"}


def test_the_shipped_themes_are_those_of_the_trade(offroad: RuleBase, offroad_guide: Guide) -> None:
    assert set(offroad_guide.themes) == {
        "tyres-or-damping", "front-end-alignment", "seals", "service-age", "rider",
    }  # fmt: skip
    assert "front-tyre-pressure-high" in causes_of(
        offroad, offroad_guide.themes["tyres-or-damping"]
    )
    for cause in causes_of(offroad, offroad_guide.not_suspension):
        assert offroad.causes[cause].group not in ("fork-inside", "shock", "clickers", "seals")


def test_everything_that_counts_says_what_it_means_and_where_it_is_from(
    offroad_guide: Guide,
) -> None:
    for note in offroad_guide.scoring.measures.values():
        assert len(note.meaning) > 40
        assert all(source in offroad_guide.sources for source in note.source)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("groups: [fuel]", "groups: [feul]", "guide.yaml:4:52: error[reference] at themes.fuel.groups: 'feul' is not a group of causes; did you mean 'fuel'?"),
        ("causes: [heights-wrong]", "causes: [height-wrong]", "'height-wrong' is not a cause; did you mean 'heights-wrong'?"),
        ("tank-look,", "tank-looks,", "at checklist.observations: 'tank-looks' is not an observation"),
        ("mm: {step", "mn: {step", "at instruments.units.mn"),
        ("step: 0.05", "step: 0", "at instruments.units.mm.step"),
        ("expected-cost, points: 25", "expected-cost, points: 26", "the points add up to 101, not to 100"),
        ("hints: {area: 2, kind: 3, step: 5}", "hints: {area: 2, kind: 3}", "`hints` lacks step"),
        ("pass_mark: 70", "pass_mark: 70\n  passmark: 60", "at scoring.passmark: this key is not known here"),
        ("told: 1", "told: many", "at customer.told"),
        ("scoring:", "cures: {checks: {tank-lok: fill-up}, source: made-up}\nscoring:", "at cures.checks: 'tank-lok' is not an observation; did you mean 'tank-look'?"),
        ("scoring:", "wrong_work: {chance: 0.5, leaves: {fuel: [plug-wrn]}, source: made-up}\nscoring:", "at wrong_work.leaves.fuel: 'plug-wrn' is not a cause"),
        ("guess_cap: 55", "guess_cap: 80", "`guess_cap` must be below `pass_mark`, 70"),
        ("Fuel, about: What is in the tank., groups: [fuel], ", "Fuel, about: What is in the tank., ", "name `groups` or `causes`"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_with_file_line_and_field(
    tmp_path: Path, mower: RuleBase, old: str, new: str, said: str
) -> None:
    text = (MOWER / "training" / "guide.yaml").read_text(encoding="utf-8")
    assert old in text
    folder = tmp_path / "mower" / "training"
    folder.mkdir(parents=True)
    (folder / "guide.yaml").write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FileProblems) as error:
        load_guide(mower, tmp_path / "mower")
    assert said in str(error.value)
    assert "training/guide.yaml:" in str(error.value)


def test_a_pack_without_a_guide_trains_nobody(tmp_path: Path, mower: RuleBase) -> None:
    with pytest.raises(FileProblems, match="no training guide"):
        load_guide(mower, tmp_path)


def test_an_unknown_theme_is_told_with_those_there_are(mower_guide: Guide) -> None:
    with pytest.raises(BadInput, match="'fule' is not a theme; did you mean 'fuel'"):
        theme_named(mower_guide, "fule")
