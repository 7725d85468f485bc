"""What a handbook is made of, before anybody decides what it looks like."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.cards.blocks import Drawing


@dataclass(frozen=True, slots=True)
class Mention:
    """A line of a list or a cell of a table: `text`, leading to the entry `target` where there is
    one, with a `note` behind it."""

    text: str
    target: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Listing:
    """Lines under a label; `numbered` where their order matters."""

    label: str
    items: tuple[Mention, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class HandbookTable:
    """Rows under a head. The first cell of each row names the row."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[Mention, ...], ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the rule base. `anchor` is its place in the handbook, `facts` label and value.

    `warnings` are shown before anything else that is done.
    """

    anchor: str
    title: str
    name: str
    pack: str
    text: str = ""
    facts: tuple[tuple[str, Mention], ...] = ()
    warnings: tuple[str, ...] = ()
    lists: tuple[Listing, ...] = ()
    tables: tuple[HandbookTable, ...] = ()
    sources: tuple[str, ...] = ()
    drawing: Drawing | None = None


@dataclass(frozen=True, slots=True)
class EntryGroup:
    """Entries under a heading of their own; the heading is empty where there is one group only."""

    heading: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class PlotPoint:
    """Causes given about the same `chance`: the `share` that was there with its 95 % band, from 0
    to 1."""

    chance: float
    share: float
    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class PlotSeries:
    """Points under one name."""

    name: str
    points: tuple[PlotPoint, ...]


@dataclass(frozen=True, slots=True)
class ReliabilityPlot:
    """Chance given against share that was there."""

    series: tuple[PlotSeries, ...]


@dataclass(frozen=True, slots=True)
class Chapter:
    """A part of the handbook."""

    anchor: str
    heading: str
    about: str
    groups: tuple[EntryGroup, ...] = ()
    tables: tuple[HandbookTable, ...] = ()
    plot: ReliabilityPlot | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing in it."""
        return not (self.tables or any(group.entries for group in self.groups))


@dataclass(frozen=True, slots=True)
class Cell:
    """A filled cell of the matrix: `step` is the word's place on the scale, from 1."""

    row: int
    column: int
    step: int
    words: str


@dataclass(frozen=True, slots=True)
class Matrix:
    """Which cause gives which complaint, and how likely: (name, anchor) of the rows and columns."""

    rows: tuple[tuple[str, str], ...]
    columns: tuple[tuple[str, str], ...]
    cells: tuple[Cell, ...]
    scale: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Handbook:
    """A handbook ready to be written."""

    title: str
    about: tuple[str, ...]
    packs: tuple[str, ...]
    chapters: tuple[Chapter, ...]
    matrix: Matrix

    @property
    def plot(self) -> ReliabilityPlot | None:
        """The plot of the chapter that has one."""
        return next((chapter.plot for chapter in self.chapters if chapter.plot), None)
