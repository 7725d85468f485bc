"""`case` over a folder: a line of JSON per case file, gone on with where an earlier run stopped."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit
from tui.terminal.statuses import UNSOUND
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.batch.folders import FileJob
    from diagnose.batch.json_lines import Line


def judge_folder(folder: Path, out: Path, packs: Packs) -> None:
    """Judge every case file of a folder that `out` does not hold yet."""
    from diagnose.batch.folders import jobs_for
    from diagnose.batch.json_lines import read_lines

    load_rules(packs)  # an unsound rule base is said once, not once per file
    jobs = or_exit(lambda: jobs_for(folder, packs))
    before = or_exit(lambda: read_lines(out))
    kept = [before[job.file] for job in jobs if job.is_answered_by(before.get(job.file))]
    done = {line.file for line in kept}
    todo = [job for job in jobs if job.file not in done]
    bad = sum(line.error is not None for line in kept)
    start = time.monotonic()
    new = or_exit(lambda: _judge(todo, out, kept))
    bad += sum(line.error is not None for line in new)
    taken = time.monotonic() - start
    told = f"{len(todo)} case files in {taken:.1f} s"
    if todo:
        told += f", {len(todo) / taken:.0f} a second"
    if kept:
        told += f"; {len(kept)} were done before"
    click.echo(f"{told}; {bad} could not be judged. In {out}.", err=True)
    for line in sorted([*kept, *new], key=lambda line: line.file):
        for question in line.did_you_mean:
            for text in wrapped(question.text, "  ", f"{line.file}: "):
                click.echo(text, err=True)
    if bad:
        sys.exit(UNSOUND)


def _judge(jobs: list[FileJob], out: Path, kept: list[Line]) -> list[Line]:
    """Judge the jobs and write their lines after those kept; the lines that were made."""
    from diagnose.batch.folders import judge_all
    from diagnose.batch.json_lines import line_file
    from tui.cli.rules.progress_bar import progress

    made = []
    with line_file(out, kept) as lines, progress("case files") as bar:
        bar.start(len(jobs))
        for line in judge_all(jobs):
            lines.add(line)
            made.append(line)
            bar.step()
    return made
