"""The handbook: whole, escaped, without a load from outside, and sound as HTML, Markdown and SVG."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from markdown_it import MarkdownIt

from diagnose.advice.assessor import Assessor
from diagnose.authoring.handbook.building import build_handbook
from diagnose.authoring.handbook.pages import (
    drawings,
    html_page,
    markdown_page,
    matrix_picture,
    plot_picture,
)
from diagnose.authoring.handbook.parts import Handbook
from diagnose.authoring.handbook.rule_words import condition_in_words, rule_in_words
from diagnose.authoring.trials.measures import by_number_of_causes
from diagnose.authoring.trials.trial import own_cases, rank
from diagnose.authoring.trials.working import Decision
from rules.language.schema import Condition
from rules.loading.loader import load_pack, load_packs
from rules.rulebase import RuleBase
from tests.places import MOWER

VOID = {"meta", "rect", "line", "br", "circle", "path"}
SVG = "{http://www.w3.org/2000/svg}"
NASTY = '<script>alert(1)</script> & "*_`[x](y)|"'


class Page(HTMLParser):
    """A page taken apart: its tags must close in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: Counter[str] = Counter()
        self.ids: list[str] = []
        self.targets: list[str] = []
        self.loads: list[str] = []
        self._texts: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []
        self.text = " ".join(self._texts)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen[tag] += 1
        for name, value in attrs:
            if name == "id":
                self.ids.append(value or "")
            elif name == "href":
                self.targets.append(value or "")
            elif name in ("src", "srcset", "data", "action") or name.startswith("on"):
                self.loads.append(f"{tag} {name}={value}")
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self._texts.append(data)


def picture(book: Handbook) -> ElementTree.Element:
    return ElementTree.fromstring(matrix_picture(book))  # noqa: S314  # our own writing


@pytest.fixture(scope="module")
def ranked(offroad: RuleBase) -> list[Decision]:
    return rank((), own_cases((), offroad)[0][::4])


@pytest.fixture(scope="module")
def book(offroad_assessor: Assessor, ranked: list[Decision]) -> Handbook:
    return build_handbook(offroad_assessor, ranked)


@pytest.fixture(scope="module")
def page(book: Handbook) -> Page:
    return Page(html_page(book))


@pytest.fixture(scope="module")
def small(mower_assessor: Assessor) -> Handbook:
    return build_handbook(mower_assessor)


def test_every_entry_has_its_place_and_every_link_leads_to_one(
    page: Page, offroad: RuleBase
) -> None:
    ids = set(page.ids)
    assert len(ids) == len(page.ids)
    for section in (
        "causes",
        "complaints",
        "observations",
        "findings",
        "rules",
        "corrections",
        "cautions",
        "pictures",
        "traits",
        "specs",
    ):
        for key in getattr(offroad, section):
            assert f"{section}-{key}" in ids
    assert {target.removeprefix("#") for target in page.targets} <= ids
    assert all(target.startswith("#") for target in page.targets)


def test_each_drawing_stands_in_the_page_as_it_is_and_beside_the_markdown(
    book: Handbook, offroad: RuleBase
) -> None:
    text, files = html_page(book), drawings(book, "book")
    page = markdown_page(book, "matrix.svg", "plot.svg", "book")
    for name, svg in offroad.drawings.items():
        assert text.count(svg) == 1, name
        assert files[f"book-{name}.svg"] == f"{svg}\n"
        assert f"](book-{name}.svg)" in page
    assert f'aria-label="{offroad.pictures["chain-slack"].title}: ' in text
    assert '<a href="#pictures-chain-slack">Chain slack</a>' in text


def test_it_loads_and_runs_nothing(page: Page, book: Handbook) -> None:
    assert page.loads == []
    assert not page.seen.keys() & {"script", "link", "img", "iframe", "object", "base", "form"}
    text = html_page(book)
    assert "default-src 'none'" in text
    assert "@import" not in text
    assert "url(" not in text


def test_it_holds_the_words_of_the_rule_base(page: Page, offroad: RuleBase) -> None:
    squeezed = " ".join(page.text.split())
    for cause in offroad.causes.values():
        assert " ".join(cause.what.split()) in squeezed
    for correction in offroad.corrections.values():
        for line in (*correction.steps, correction.proof, correction.goes_wrong):
            assert " ".join(line.split()) in squeezed
    for caution in offroad.cautions.values():
        assert " ".join(caution.text.split()) in squeezed
    for source in offroad.sources.values():
        assert " ".join(str(source).split()) in squeezed


@pytest.mark.parametrize("write", [html_page, lambda book: markdown_page(book, "m.svg")])
def test_cautions_stand_before_the_steps(
    write: Callable[[Handbook], str], book: Handbook, offroad: RuleBase
) -> None:
    text = write(book)
    pieces = re.split(r'id="(?=[a-z]+-)', text)
    own = {piece.split('"', 1)[0]: piece for piece in pieces}
    for key, entry in offroad.corrections.items():
        if entry.cautions:
            piece = own[f"corrections-{key}"]
            assert piece.count("Caution:") == len(entry.cautions)
            assert piece.rindex("Caution:") < piece.index("Steps")


def test_causes_of_a_complaint_are_ranked(small: Handbook) -> None:
    complaints = next(c for c in small.chapters if c.anchor == "complaints")
    table = complaints.groups[0].entries[0].tables[0]
    assert [row[0].target for row in table.rows[:3]] == [
        "causes-battery-flat", "causes-no-fuel", "causes-stale-fuel",
    ]  # fmt: skip
    chances = [float(row[1].text.split()[0]) for row in table.rows]
    assert chances == sorted(chances, reverse=True)
    assert table.rows[2][3].text == "likely, 78 in 100"


def test_the_matrix_is_a_picture_and_a_table(offroad: RuleBase, book: Handbook, page: Page) -> None:
    links = [link for link in offroad.links if offroad.nodes[link.node].kind == "complaint"]
    root = picture(book)
    groups = root.findall(f"{SVG}g")
    assert len(groups) == len(links)
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title") is not None
    steps = list(offroad.scale.words)
    shown = Counter(group.findtext(f"{SVG}text") for group in groups)
    assert shown == Counter(str(steps.index(link.words["yes"]) + 1) for link in links)
    assert all(group.findtext(f"{SVG}title") for group in groups)
    # the same numbers, not told by shade alone, as a table
    table = html_page(book).split('class="wide grid"', 1)[1]
    cells = Counter(re.findall(r"<td>(\d)</td>", table))
    assert cells == shown
    assert page.seen["svg"] == 2 + len(offroad.pictures)


def test_chances_are_held_against_what_was_there(book: Handbook, ranked: list[Decision]) -> None:
    """Every chance is counted once in the table, and every bin is a mark with its band."""
    chapter = next(c for c in book.chapters if c.anchor == "chances")
    scores, bins = chapter.tables
    groups = by_number_of_causes(ranked)
    assert [row[0].text for row in scores.rows] == [*groups, "any"]
    assert [int(row[1].text) for row in scores.rows] == [*map(len, groups.values()), len(ranked)]
    for row in scores.rows:
        brier, reliability, resolution, uncertainty, inside = (float(c.text) for c in row[2:])
        assert brier == pytest.approx(
            reliability - resolution + uncertainty + inside, abs=0.003
        )  # each is rounded
    told = [re.search(r"(\d+) of (\d+)$", c.text) for row in bins.rows for c in row[1:] if c.text]
    counted = [(int(found[1]), int(found[2])) for found in told if found]
    assert sum(of for _, of in counted) == sum(len(d.chances) for d in ranked)
    assert sum(hits for hits, _ in counted) == sum(len(d.true) for d in ranked)
    assert book.plot is not None
    points = [point for series in book.plot.series for point in series.points]
    assert len(points) == len(counted)
    assert all(0 <= p.low <= p.share <= p.high <= 1 and 0 <= p.chance <= 1 for p in points)
    root = ElementTree.fromstring(plot_picture(book))  # noqa: S314  # our own writing
    assert len(root.findall(f"{SVG}g")) == len(points)


def test_without_worked_cases_there_is_no_word_of_chances(small: Handbook) -> None:
    assert "chances" not in {chapter.anchor for chapter in small.chapters}
    assert plot_picture(small) == ""
    assert Page(html_page(small)).seen["svg"] == 1


def test_cells_lie_inside_the_picture(book: Handbook) -> None:
    root = picture(book)
    width, height = (float(root.get(name, "0")) for name in ("width", "height"))
    for rect in root.iter(f"{SVG}rect"):
        x, y, w, h = (float(rect.get(name, "0")) for name in ("x", "y", "width", "height"))
        assert 0 <= x <= x + w <= width
        assert 0 <= y <= y + h <= height


def test_markdown_reads_as_markdown(book: Handbook, offroad: RuleBase) -> None:
    """Another library takes it apart: headings, tables, and links that lead somewhere."""
    text = markdown_page(book, "handbook-matrix.svg", "handbook-chances.svg", "handbook")
    tokens = MarkdownIt("commonmark").enable("table").parse(text)
    headings = [
        tokens[n + 1].content for n, token in enumerate(tokens) if token.type == "heading_open"
    ]
    assert len(headings) > sum(
        len(getattr(offroad, s)) for s in ("causes", "observations", "corrections", "rules")
    )
    anchors = set(re.findall(r'<a id="([^"]+)"></a>', text))
    inline = [child for token in tokens for child in token.children or ()]
    targets = [str(child.attrs["href"]) for child in inline if child.type == "link_open"]
    assert len(targets) > len(offroad.links)
    assert {target.removeprefix("#") for target in targets} <= anchors
    pictures = [child.attrs["src"] for child in inline if child.type == "image"]
    drawn = [f"handbook-{name}.svg" for name in offroad.pictures]
    assert pictures == [*drawn, "handbook-chances.svg", "handbook-matrix.svg"]
    complaints = sum(len(c.places) or 1 for c in offroad.complaints.values())
    assert sum(token.type == "table_open" for token in tokens) >= complaints


def test_nasty_words_are_shown_as_they_are(edited_pack: Callable[..., Path]) -> None:
    quoted = NASTY.replace("\\", "\\\\").replace('"', '\\"')
    folder = edited_pack("title: Plug worn", f'title: "{quoted}"')
    rules = load_pack(folder)
    made = build_handbook(Assessor(rules))
    page = Page(html_page(made))
    assert "script" not in page.seen
    assert rules.causes["plug-worn"].title in page.text
    assert picture(made).tag == f"{SVG}svg"
    tokens = MarkdownIt("commonmark").enable("table").parse(markdown_page(made, "m.svg"))
    headings = [
        "".join(child.content for child in tokens[n + 1].children or ())
        for n, token in enumerate(tokens)
        if token.type == "heading_open"
    ]
    assert rules.causes["plug-worn"].title in headings
    html = [c.content for t in tokens for c in t.children or () if c.type == "html_inline"]
    assert not any("script" in piece for piece in html)


def test_a_stack_says_where_each_entry_is_from(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text(
        'pack: {id: shop, title: S, version: "2", format: 1, about: A., builds_on: mower}\n'
        "cautions:\n  hot: {text: The silencer is hot., source: made-up}\n"
        "changes:\n  causes:\n    plug-worn:\n      set: {shows: {no-start: very likely}}\n"
        "      reason: Seen often here.\n      source: made-up\n"
        "switched_off:\n  causes:\n    heights-wrong: {reason: Not our trade., source: made-up}\n",
        encoding="utf-8",
    )
    made = build_handbook(Assessor(load_packs((MOWER, shop))))
    text = " ".join(Page(html_page(made)).text.split())
    assert "Packs, each building on those before it: mower 1, shop 2" in text
    assert "hot · from pack shop" in text
    assert "plug-worn · from pack mower" in text
    assert "Changed by shop Seen often here." in text
    assert "very likely, 94 in 100 (from shop)" in text
    assert "Not our trade." in text


def test_a_pack_by_itself_does_not_name_itself_everywhere(small: Handbook) -> None:
    assert "from pack" not in html_page(small)


def test_rules_in_words(mower: RuleBase) -> None:
    assert rule_in_words(mower, mower.rules["heights-differ"]) == (
        "Left wheel height and Right wheel height differ by over 5 mm",
        "Wheel heights differ is “unequal”",
    )
    when, then = rule_in_words(mower, mower.rules["stale-chain"])
    assert when == (
        "Stood and stale is “yes” and it is not known that Wheel heights differ is “unequal”"
    )
    assert then == "mind: Try it on clear ground with shoes on."
    assert rule_in_words(mower, mower.rules["blade-loose"])[1] == "do not ride: The blade is loose."


def test_brackets_stand_where_parts_could_be_read_two_ways(mower: RuleBase) -> None:
    fact = {"fact": "hit-a-stone", "is": "yes"}
    other = {"reading": "left-height", "above": "50 mm"}
    body = {"any": [{"all": [fact, other]}, {"not": {"any": [other, fact]}}]}
    words = condition_in_words(mower, Condition.model_validate(body))
    stone, high = "Did it hit something hard is “Yes”", "Left wheel height is above 50 mm"
    assert words == f"({stone} and {high}) or it is not known that ({high} or {stone})"
