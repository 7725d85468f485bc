"""How well labelled sentences are understood: `python -m tests.diagnose.listening.hearing [FILES]`.

A sentence has `t`, its text; `c`, the complaints that it means, `harsh/front`, or `harsh/any` where no
end is said; `f`, observations and their states; `r`, readings as said; `maybe`, what may be taken or
not. `n` marks one with nothing in it.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from diagnose.listening.heard import Slices, Story
from diagnose.listening.listen import Listener
from rules.loading.loader import load_pack
from rules.units.quantities import BadQuantity, parse_quantity

SENTENCES = Path(__file__).with_name("sentences")
_OFFERED = 3


@dataclass(slots=True)
class Tally:
    """Right, wrong and missed of one kind."""

    right: int = 0
    wrong: int = 0
    missed: int = 0

    @property
    def precision(self) -> float:
        taken = self.right + self.wrong
        return self.right / taken if taken else 1.0

    @property
    def recall(self) -> float:
        there = self.right + self.missed
        return self.right / there if there else 1.0


@dataclass(slots=True)
class Figures:
    """What a set of sentences came to; shares from 0 to 1, milliseconds."""

    meant: int = 0
    first: int = 0
    offered: int = 0
    empty: int = 0
    silent: int = 0
    complaints: Tally = field(default_factory=Tally)
    facts: Tally = field(default_factory=Tally)
    readings: Tally = field(default_factory=Tally)
    times: list[float] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    heard: list[str] = field(default_factory=list)
    """What each sentence came to, right or wrong, word for word."""

    @property
    def first_share(self) -> float:
        return self.first / self.meant if self.meant else 1.0

    @property
    def offered_share(self) -> float:
        return self.offered / self.meant if self.meant else 1.0

    @property
    def silent_share(self) -> float:
        return self.silent / self.empty if self.empty else 1.0

    def __str__(self) -> str:
        c, f, r = self.complaints, self.facts, self.readings
        return (
            f"first {self.first_share:.1%} ({self.first}/{self.meant})  offered {self.offered_share:.1%}"
            f"  complaints P {c.precision:.1%} R {c.recall:.1%}  facts P {f.precision:.1%} "
            f"R {f.recall:.1%} (of {f.right + f.missed})  readings P {r.precision:.1%} R {r.recall:.1%}"
            f" (of {r.right + r.missed})  silent {self.silent}/{self.empty}  "
            f"median {statistics.median(self.times):.1f} ms, worst {max(self.times):.1f} ms"
        )


def sentences_in(path: Path) -> Iterator[dict[str, Any]]:
    """The labelled sentences of a file; a plain text is one with nothing in it."""
    for item in yaml.safe_load(path.read_text()):
        yield (
            item if isinstance(item, dict) else {"t": str(item), "c": [], "f": {}, "nothing": True}
        )


def measured(listener: Listener, sentences: Iterable[dict[str, Any]]) -> Figures:
    """What the listener makes of labelled sentences."""
    figures = Figures()
    for item in sentences:
        started = time.perf_counter()
        story = listener.listen(item["t"])
        figures.times.append((time.perf_counter() - started) * 1000)
        figures.heard.append("; ".join((story.text, *_heard(story))))
        _judge(figures, listener, item, story)
    return figures


def _heard(story: Story) -> Iterator[str]:
    """What a story came to, in few words, with the rider's own in brackets."""
    for complaint in story.complaints:
        yield f"{complaint.event.key}{_cut(complaint.words)}"
    for mark, facts in (("", story.facts), ("pending ", story.pending)):
        for fact in facts:
            yield f"{mark}{fact.observation}={fact.state or fact.reading}{_cut(fact.words)}"
    for asked in story.questions:
        at, choices = f"/{asked.place}" if asked.place else "", ",".join(asked.choices)
        yield f"{asked.asks} {asked.id}{at}?{choices}{_cut(asked.words)}"
    for left in story.not_taken:
        yield f"not {left.id}/{left.place}={left.state}, {left.why}{_cut(left.words)}"
    for trait, option, words in story.machine:
        yield f"bike {trait}={option}{_cut(words)}"
    yield from story.remarks


def _cut(words: Slices) -> str:
    return "".join(f"<{part.text}>" for part in words)


def complaint_keys(listener: Listener, story: Story) -> list[str]:
    """`harsh/front`, `harsh/any` where the end is open, `pulls` where there is none."""
    return [_key(listener, c.complaint, c.place) for c in story.complaints]


def _key(listener: Listener, name: str, place: str | None) -> str:
    if not listener.rules.complaints[name].places:
        return name
    return f"{name}/{place or 'any'}"


def _judge(figures: Figures, listener: Listener, item: dict[str, Any], story: Story) -> None:
    gold = set(item.get("c") or ())
    maybe = {str(m) for m in item.get("maybe") or ()}
    lenient = {m.partition("/")[0] for m in maybe}
    keys = complaint_keys(listener, story)
    meant = {key.partition("/")[0] for key in gold}
    faults: list[str] = []
    if gold:
        figures.meant += 1
        is_first = bool(keys) and keys[0] in gold
        figures.first += is_first
        asked = [q.id for q in story.questions if q.asks == "complaint"]
        ranked = [c.complaint for c in story.complaints] + asked
        figures.offered += not meant.isdisjoint(ranked[:_OFFERED])
        if not is_first:
            faults.append(f"first is {keys[:1]}")
    elif not maybe & {m for m in maybe if m.partition("/")[0] in listener.rules.complaints}:
        figures.empty += 1
        figures.silent += not keys
    wrong = {k for k in set(keys) - gold if k.partition("/")[0] not in lenient}
    _count(figures.complaints, set(keys) & gold, wrong, gold - set(keys))
    said = [(c.complaint, [w.text for w in c.words]) for c in story.complaints]
    if wrong:
        faults.append(f"taken {sorted(wrong)} {said}")
    if gold - set(keys):
        open_ = [(q.asks, q.id, [w.text for w in q.words]) for q in story.questions]
        aside = [(n.id, n.why) for n in story.not_taken]
        faults.append(f"missed {sorted(gold - set(keys))} asked {open_} aside {aside}")
    wanted = {(k, _state(v)) for k, v in (item.get("f") or {}).items()}
    facts = {(f.observation, str(f.state)) for f in story.facts if f.state is not None}
    brought = {name for o, state in facts if state == "yes" for name in _brought(listener, o)}
    wrong_facts = {f for f in facts - wanted if f[0] not in maybe | brought}
    _count(figures.facts, facts & wanted, wrong_facts, wanted - facts)
    words = {(f.observation, f.state): [w.text for w in f.words] for f in story.facts}
    if wrong_facts:
        faults.append(f"facts {[(f, words[f]) for f in sorted(wrong_facts)]}")
    if wanted - facts:
        faults.append(f"facts missed {sorted(wanted - facts)}")
    _judge_readings(figures, listener, item, story, maybe, faults)
    if faults:
        figures.faults.append("\n    ".join([f"- {item['t']}", *faults]))


def _brought(listener: Listener, observation: str) -> tuple[str, ...]:
    """What labels leave out because another fact brings it."""
    return listener.rules.observations[observation].brings


def _judge_readings(
    figures: Figures,
    listener: Listener,
    item: dict[str, Any],
    story: Story,
    maybe: set[str],
    faults: list[str],
) -> None:
    wanted = {k: str(v) for k, v in (item.get("r") or {}).items()}
    got = {f.observation: f.reading for f in story.facts if f.reading is not None}
    right = {k for k, v in got.items() if k in wanted and _same(listener, k, str(v), wanted[k])}
    wrong = {k for k in got.keys() - right if k not in maybe}
    _count(figures.readings, right, wrong, wanted.keys() - right)
    if wrong or wanted.keys() - right:
        faults.append(f"readings { ({k: str(v) for k, v in got.items()}) } wanted {wanted}")


def _same(listener: Listener, observation: str, one: str, other: str) -> bool:
    unit = listener.rules.observations[observation].unit or ""
    try:
        values = [parse_quantity(spelt(text), unit).to(unit).value for text in (one, other)]
    except BadQuantity:
        return False
    return abs(values[0] - values[1]) <= 0.004 * max(1.0, abs(values[1]))


def spelt(text: str) -> str:
    """A labelled reading as the program reads quantities."""
    return text.replace("stone", "st").replace("hours", "h")


def _state(value: Any) -> str:
    return {True: "yes", False: "no", "False": "off"}.get(value, str(value))


def _count(tally: Tally, right: Iterable[Any], wrong: Iterable[Any], missed: Iterable[Any]) -> None:
    tally.right += len(list(right))
    tally.wrong += len(list(wrong))
    tally.missed += len(list(missed))


def main(given: Sequence[str]) -> None:
    """Print the figures of each file given (all in `sentences`), and with -v what went wrong."""
    listener = Listener(load_pack())
    listener.listen("warm up")
    paths = [Path(name) for name in given if name != "-v"] or sorted(SENTENCES.glob("*.yaml"))
    for path in paths:
        figures = measured(listener, sentences_in(path))
        if "-v" in given:
            print("\n".join(figures.faults))
        print(f"{path.stem}: {figures}")


if __name__ == "__main__":
    main(sys.argv[1:])
