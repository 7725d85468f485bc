"""What sentences are heard as, word for word, right or wrong: how often it is right is measured in
`test_hearing.py`.

Kept as text beside this file, so that a change of the words shows in sentences what it does:
`pytest tests/diagnose/listening/test_heard_as.py --snapshot-update -n 0` writes it anew.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from syrupy.assertion import SnapshotAssertion

from diagnose.listening.heard import Slices, Story
from diagnose.listening.listen import Listener
from tests.diagnose.listening.hearing import SENTENCES, sentences_in

MOST = 20


SETS = """
    first fresh2 aside-odd tune-odd tune4-next tune5 tune6 tune7 volunteered
    volunteered-tune tune5-nothing
"""


@pytest.mark.parametrize("name", SETS.split())
def test_a_sentence_is_heard_as_it_was(
    listener: Listener, name: str, snapshot: SnapshotAssertion
) -> None:
    sentences = list(sentences_in(SENTENCES / f"{name}.yaml"))
    some = sentences[:: max(len(sentences) // MOST, 1)][:MOST]
    lines = (line for one in some for line in _heard(listener.listen(one["t"])))
    assert "\n".join(lines) == snapshot


def _heard(story: Story) -> Iterator[str]:
    yield f"\n{story.text}"
    for complaint in story.complaints:
        yield f"  complaint {complaint.event.key}{_cut(complaint.words)}"
    for kind, facts in (("fact", story.facts), ("pending", story.pending)):
        for fact in facts:
            yield f"  {kind} {fact.observation}: {fact.state or fact.reading}{_cut(fact.words)}"
    for asked in story.questions:
        choices = ", ".join(asked.choices)
        yield f"  asked {asked.asks} {asked.id} {asked.place or ''} [{choices}]{_cut(asked.words)}"
    for left in story.not_taken:
        at = left.state or left.place or ""
        yield f"  not taken {left.id} {at}: {left.why}{_cut(left.words)}"
    for trait, option, words in story.machine:
        yield f"  bike {trait}: {option}{_cut(words)}"
    for remark in story.remarks:
        yield f"  remark {remark}"


def _cut(words: Slices) -> str:
    return "".join(f" <{part.text}>" for part in words)
