"""The textbook network of fever and its three causes, written as a pack."""

from __future__ import annotations

from pathlib import Path

from tests.places import MOWER

PRIORS = {"cold": 0.2, "flu": 0.1, "malaria": 0.01}


def fever_pack(folder: Path) -> Path:
    """The textbook network written as a pack, with a scale whose words are its numbers."""
    links = {"cold": "w40", "flu": "w80", "malaria": "w90"}
    causes = "\n".join(
        f"  {name}: {{title: {name}, group: g, what: x, per_100: {PRIORS[name] * 100}, "
        f"shows: {{fever: {word}}}, shows_source: book, correction: rest, source: book}}"
        for name, word in links.items()
    )
    mower = (MOWER / "pack.yaml").read_text(encoding="utf-8")
    policy = mower[mower.index("policy:") : mower.index("sources:")]
    policy = policy.replace("[clear-ground]", "[]").replace("made-up", "book")
    text = f"""
pack: {{id: fever, title: Fever, version: "1", format: 1, about: A textbook example.}}
scale:
  words: {{never: [0, 0], w40: [0.4, 0.4], w80: [0.8, 0.8], w90: [0.9, 0.9]}}
  source: book
{policy}
sources:
  book: {{kind: published, author: S. Russell and P. Norvig, title: Artificial Intelligence, year: 2010, seen: as quoted elsewhere}}
complaints:
  fever: {{title: Fever, background: never, source: book}}
causes:
{causes}
corrections:
  rest: {{title: Rest, steps: [Rest.], minutes: 1, who: home mechanic, goes_wrong: x, proof: x, source: book}}
"""
    (folder / "pack.yaml").write_text(text, encoding="utf-8")
    return folder
