"""What a bike should have: whose figure it is, and what a reading may be called against it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from diagnose.case.events import Case
from diagnose.case.figures import figure_of
from rules.loading.loader import load_pack, load_packs
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tests.places import MOWER

RANGED = """
specs:
  plug-wear: {title: Plug wear, unit: mm, default: 0.6 mm, usual: 0.4 to 1 mm, source: made-up}
  belt-slack: {title: Belt slack, unit: mm, default: 20 mm, usual: any, source: made-up}
  blade-gap: {title: Blade gap, unit: mm, by: size, default: {small: 3 mm, large: 5 mm}, usual: {small: 2 to 4 mm}, where: [{needs: {size: large, engine: electric}, default: 8 mm, usual: 6 to 9 mm}], source: made-up}
  printed-gap: {title: Printed gap, unit: mm, default: 2 mm, source: book}
sources:
  book: {kind: published, title: A book, author: Nobody, year: 1999, seen: in the original}
observations:
  plug-wear-read: {kind: measurement, ask: Plug wear, unit: mm, target: plug-wear, limits: [0 mm, 9 mm], minutes: 1, source: made-up}
  belt-slack-read: {kind: measurement, ask: Belt slack, unit: mm, target: belt-slack, limits: [0 mm, 90 mm], minutes: 1, source: made-up}
  printed-gap-read: {kind: measurement, ask: Printed gap, unit: mm, target: printed-gap, limits: [0 mm, 90 mm], minutes: 1, source: made-up}
  blade-gap-read: {kind: measurement, ask: Blade gap, unit: mm, target: blade-gap, limits: [0 mm, 90 mm], minutes: 1, source: made-up}
rules:
  blade: {when: {reading: blade-gap-read, above: target x 2}, then: {caution: plug-lead}, source: made-up}
  worn: {when: {reading: plug-wear-read, above: target x 2}, then: {caution: plug-lead}, source: made-up}
  slack: {when: {reading: belt-slack-read, above: target x 2}, then: {caution: plug-lead}, source: made-up}
  gap: {when: {reading: printed-gap-read, above: target x 2}, then: {caution: plug-lead}, source: made-up}
"""
SHOP = """
pack: {id: shop, title: Our shop, version: "1", about: What we do., format: 1, builds_on: mower}
sources:
  ours: {kind: common-practice, title: what this shop does}
changes:
  specs:
    plug-wear: {set: {default: 0.7 mm}, reason: measured here, source: ours}
"""


@pytest.fixture(scope="module")
def ranged(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ranged")
    shutil.copy(MOWER / "pack.yaml", folder)
    (folder / "ranged.yaml").write_text(RANGED, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def rules(ranged: Path) -> RuleBase:
    return load_pack(ranged)


def test_whose_figure_it_is_goes_from_the_manual_to_a_rule_of_thumb(
    rules: RuleBase, ranged: Path, tmp_path: Path
) -> None:
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    shop = load_packs((ranged, tmp_path))
    given = Case(targets={"plug-wear": Quantity(0.8, "mm")})
    assert [
        (figure.rank, str(figure.value))
        for figure in (
            figure_of(shop, given, "plug-wear"),
            figure_of(shop, Case(), "plug-wear"),
            figure_of(rules, Case(), "printed-gap"),
            figure_of(rules, Case(), "plug-wear"),
        )
    ] == [("manual", "0.8 mm"), ("shop", "0.7 mm"), ("published", "2 mm"), ("thumb", "0.6 mm")]


@pytest.mark.parametrize(
    ("reading", "judged", "share"),
    [(0.39, True, 1), (0.4, False, 1), (0.5, False, 0.5), (0.6, False, 0), (0.8, False, 0.5),
     (1, False, 1), (1.1, True, 1)],
)  # fmt: skip
def test_a_rule_of_thumb_judges_only_what_no_bike_of_the_kind_has(
    rules: RuleBase, reading: float, judged: bool, share: float
) -> None:
    figure = figure_of(rules, Case(), "plug-wear")
    assert figure.judges(Quantity(reading, "mm")) is judged
    if not judged:
        assert figure.way_to_the_edge(Quantity(reading, "mm")) == pytest.approx(share)


def test_the_bikes_own_figure_judges_everything(rules: RuleBase) -> None:
    own = figure_of(rules, Case(targets={"plug-wear": Quantity(0.8, "mm")}), "plug-wear")
    assert own.judges(Quantity(0.5, "mm"))
    assert own.judges(Quantity(0.9, "mm"))


def test_where_bikes_differ_too_much_a_rule_of_thumb_says_nothing(rules: RuleBase) -> None:
    figure = figure_of(rules, Case(), "belt-slack")
    assert not figure.says_anything
    assert not figure.judges(Quantity(80, "mm"))
    own = figure_of(rules, Case(targets={"belt-slack": Quantity(30, "mm")}), "belt-slack")
    assert own.says_anything
    assert own.judges(Quantity(80, "mm"))


@pytest.mark.parametrize(
    ("usual", "told"),
    [
        ("1 to 0.4 mm", "lowest first"),
        ("0.4 mm", "25 to 70 mm"),
        ("0.4 to 1 psi", "give a length"),
        ("0.7 to 1 mm", "0.6 mm lies outside"),
    ],
)
def test_a_usual_range_that_does_not_fit_is_refused(
    ranged: Path, tmp_path: Path, usual: str, told: str
) -> None:
    shutil.copy(ranged / "pack.yaml", tmp_path)
    text = RANGED.replace("0.4 to 1 mm", usual)
    (tmp_path / "ranged.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(FileProblems) as refused:
        load_pack(tmp_path)
    assert told in str(refused.value)
    assert "plug-wear.usual" in str(refused.value)


@pytest.mark.parametrize(
    ("traits", "value", "usual"),
    [
        ({"size": "small"}, "3 mm", ["2 mm", "4 mm"]),
        ({"size": "large"}, "5 mm", []),
        ({"size": "large", "engine": "electric"}, "8 mm", ["6 mm", "9 mm"]),
        ({"size": "small", "engine": "electric"}, "3 mm", ["2 mm", "4 mm"]),
    ],
)
def test_a_kind_of_machine_has_figures_of_its_own(
    rules: RuleBase, traits: dict[str, str], value: str, usual: list[str]
) -> None:
    figure = figure_of(rules, Case(traits), "blade-gap")
    assert (str(figure.value), [str(end) for end in figure.usual or ()]) == (value, usual)
