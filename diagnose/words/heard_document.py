"""What was understood of a rider's story as one stable document, for other programs to read."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from diagnose.listening.heard import HeardFact, OpenQuestion, Slices, Story
from diagnose.words.heard_words import question_text
from rules.rulebase import RuleBase


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class ComplaintItem(_Part):
    """A complaint, `id` as a case file has it (`harsh/front`), and how sure it is, from 0 to 1."""

    id: str
    place: str | None
    words: list[str]
    sure: float


class FactItem(_Part):
    """An observation with its `state`, or with its `reading` as it was said."""

    observation: str
    state: str | None
    reading: str | None
    words: list[str]
    sure: float


class QuestionItem(_Part):
    """What may be meant: a `complaint`; the `place` of one; which of several readings a `figure`
    is; or which of two answers to an observation stands, a `fact`."""

    asks: str
    id: str
    choices: list[str]
    words: list[str]
    text: str


class AsideItem(_Part):
    """What was said and does not count, and why."""

    id: str
    state: str | None
    words: list[str]
    why: str


class HeardDocument(_Part):
    """The whole document. Fields are only ever added within one `version`."""

    format: Literal["badride-heard"] = "badride-heard"
    version: Literal[1] = 1
    story: str = Field(description="what was said, letter for letter")
    complaints: list[ComplaintItem]
    facts: list[FactItem]
    did_you_mean: list[QuestionItem]
    not_taken: list[AsideItem]
    machine: dict[str, str]
    pending: list[FactItem] = Field(description="facts that count once an offer is accepted")
    remarks: list[str]


def heard_document(rules: RuleBase, story: Story) -> HeardDocument:
    """The document of a story, ready for `model_dump_json`."""
    return HeardDocument(
        story=story.text,
        complaints=[
            ComplaintItem(id=c.event.key, place=c.place, words=_said(c.words), sure=c.sure)
            for c in story.complaints
        ],
        facts=[_fact(fact) for fact in story.facts],
        did_you_mean=question_items(rules, story),
        not_taken=[
            AsideItem(
                id=f"{item.id}/{item.place}" if item.place else item.id,
                state=item.state,
                words=_said(item.words),
                why=item.why,
            )
            for item in story.not_taken
        ],
        machine={trait: option for trait, option, _ in story.machine},
        pending=[_fact(fact) for fact in story.pending],
        remarks=list(story.remarks),
    )


def question_items(rules: RuleBase, story: Story) -> list[QuestionItem]:
    """What the story leaves to be asked."""
    return [
        QuestionItem(
            asks=question.asks,
            id=_key(question),
            choices=list(question.choices),
            words=_said(question.words),
            text=question_text(rules, question),
        )
        for question in story.questions
    ]


def _key(question: OpenQuestion) -> str:
    return f"{question.id}/{question.place}" if question.place else question.id


def _fact(fact: HeardFact) -> FactItem:
    return FactItem(
        observation=fact.observation,
        state=fact.state,
        reading=None if fact.reading is None else str(fact.reading),
        words=_said(fact.words),
        sure=fact.sure,
    )


def _said(words: Slices) -> list[str]:
    return [part.text for part in words]
