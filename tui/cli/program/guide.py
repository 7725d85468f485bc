"""`guide`: short texts by task, read on the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from tui.cli.common import refuse

GUIDE = Path(__file__).parent.parent / "guide"
TOPICS = (
    "after-a-bad-ride",
    "tyres-or-damping",
    "train-a-new-hire",
    "what-a-score-means",
    "add-what-your-shop-knows",
    "what-a-pack-may-say",
    "what-a-figure-rests-on",
    "the-model",
)


def title_of(topic: str) -> str:
    """The heading of a text."""
    return text_of(topic).splitlines()[0].removeprefix("# ")


def text_of(topic: str) -> str:
    """A text, as Markdown."""
    return (GUIDE / f"{topic}.md").read_text(encoding="utf-8")


@click.command()
@click.argument("topic", required=False)
def guide(topic: str | None) -> None:
    """Short texts by task: after a bad ride, tyres or damping, training, scores, your own pack,
    what a figure rests on, the model.

    Without TOPIC the topics are listed.
    """
    if topic is None:
        for number, name in enumerate(TOPICS, 1):
            click.echo(f"{number}  {name:<26}{title_of(name)}")
        click.echo("Read one: badride guide 1")
        return
    named = dict(zip(map(str, range(1, len(TOPICS) + 1)), TOPICS, strict=True)).get(topic, topic)
    if named not in TOPICS:
        refuse(f"{topic!r} is not a topic; one of: {', '.join(TOPICS)}")
    click.echo_via_pager(text_of(named))
