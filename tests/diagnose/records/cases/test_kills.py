"""Interviews killed with SIGKILL at random moments: whatever had been answered before a question was
shown is there when the case is resumed, and the store is never damaged."""

from __future__ import annotations

import hashlib
import os
import random
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case
from diagnose.diagnosis import Diagnosis
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import Place, at_path
from diagnose.records.store.store_problems import NotFound
from diagnose.training.records.store_check import check_everything
from tui.plain.plain_interview import PlainInterview

ENOUGH = 150
SHOWN = b"\x00"


def digest(case: Case, events: int) -> bytes:
    return hashlib.sha256(repr(case.events[:events]).encode()).hexdigest()[:16].encode()


def child(shop: Assessor, place: Place, number: int | None, lines: int, pipe: int) -> None:
    """An interview that tells, with every prompt it shows, what it believes to be recorded."""
    store = open_store(place, lambda: datetime.now(UTC))
    book = CaseBook(store, shop.rules)
    kept = None if number is None else book.read(number)
    keeping = CaseKeeping(book, kept=kept)
    diagnosis = Diagnosis(shop, keeping=keeping)

    def read(prompt: str) -> str:
        kept = keeping.kept
        told = b"%d %d %s" % (
            kept.id if kept else 0,
            len(diagnosis.case.events),
            digest(diagnosis.case, 999),
        )
        text = prompt.encode() + SHOWN + told + SHOWN
        os.write(pipe, len(text).to_bytes(4, "big") + text)
        line = os.read(lines, 100)
        if not line:
            raise EOFError
        return line.decode()

    PlainInterview(diagnosis, read, lambda text: None).run()


@dataclass(frozen=True)
class Shown:
    """What the last prompt before the kill told: the case, how many events it had, and their digest;
    and what was typed at it, if anything, which may have been recorded already."""

    number: int
    events: int
    digest: bytes
    typed: bytes = b""


def run_and_kill(
    shop: Assessor, place: Place, number: int | None, rng: random.Random
) -> Shown | None:
    """What was shown last before the kill, None where nothing was."""
    read_end, write_end = os.pipe()
    to_child, answers = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            os.close(read_end)
            os.close(answers)
            child(shop, place, number, to_child, write_end)
        finally:
            os._exit(0)
    os.close(write_end)
    os.close(to_child)
    last = None
    prompts = rng.randint(1, 12)
    with os.fdopen(read_end, "rb") as pipe, os.fdopen(answers, "wb", buffering=0) as typed:
        asked = 0
        while asked < prompts and (shown := next_prompt(pipe)) is not None:
            asked += 1
            last = replace(shown[1], typed=answer(shown[0], rng))
            typed.write(last.typed)
        time.sleep(rng.random() * 0.02)
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        while (shown := next_prompt(pipe)) is not None:
            last = shown[1]
    return last if last is not None and last.number else None


def next_prompt(pipe: BinaryIO) -> tuple[str, Shown] | None:
    size = pipe.read(4)
    if len(size) < 4:
        return None
    text = pipe.read(int.from_bytes(size, "big"))
    prompt, told, _ = text.split(SHOWN)
    number, events, seen = told.split()
    return prompt.decode(), Shown(int(number), int(events), seen)


def answer(prompt: str, rng: random.Random) -> bytes:
    if prompt.startswith("complaint"):
        return rng.choice([b"harsh\n", b"wallow\n", b"\n"])
    if prompt.startswith("key (Enter"):
        return rng.choice([b"1\n", b"2\n"])
    if prompt.startswith("key"):
        return rng.choice([b"f\n", b"d\n", b"1\n", b"x\n", b"a\n", b"?\n", b"b\n", b"k\n"])
    return rng.choice([b"?\n", b"?\n", b"1\n", b"n\n", b"y\n", b"2\n", b"b\n"])


def kill_many(shop: Assessor, place: Place, enough: int, seed: int) -> tuple[int, int]:
    """Kill interviews until enough have shown a kept case, and look at the store after each.
    Returns how many were killed and how many events those that showed one had."""
    rng = random.Random(seed)
    clock: Callable[[], datetime] = lambda: datetime.now(UTC)  # noqa: E731
    store = open_store(place, clock, create=True)
    book = CaseBook(store, shop.rules)
    known: dict[int, tuple[int, bytes]] = {}
    killed = shown = events = 0
    while shown < enough:
        killed += 1
        assert killed < 10 * enough
        resumed = rng.choice(sorted(known)) if known and rng.random() < 0.4 else None
        last = run_and_kill(shop, place, resumed, rng)
        if last is not None:
            shown += 1
            events += last.events
            case = book.read(last.number).case
            there = len(case.events)
            if last.typed == b"b\n":  # what was shown may have been taken back again
                assert last.events - 1 <= there <= last.events
            else:
                assert last.events <= there <= last.events + bool(last.typed)
            if there >= last.events:
                assert digest(case, last.events) == last.digest
            known[last.number] = (there, digest(case, 999))
        for number, (count, seen) in known.items():
            if number != (last.number if last else resumed):
                case = book.read(number).case
                assert (len(case.events), digest(case, 999)) == (count, seen)
        if resumed is not None and last is None:
            case = book.read(resumed).case
            known[resumed] = (len(case.events), digest(case, 999))
    check_everything(store, shop.rules)
    number = max(known)
    again = Diagnosis(shop, keeping=CaseKeeping(book, kept=book.read(number)))
    assert again.assessment.step.kind
    with pytest.raises(NotFound):
        book.read(10_000)
    store.close()
    return killed, events


def test_a_few_interviews_killed_at_random_lose_nothing(
    tmp_path: Path, mower_assessor: Assessor
) -> None:
    _, events = kill_many(mower_assessor, at_path(tmp_path / "store.sqlite"), 10, seed=3)
    assert events >= 10


@pytest.mark.long
@pytest.mark.faults
def test_many_interviews_killed_at_random_lose_nothing(
    tmp_path: Path, offroad_assessor: Assessor, capsys: pytest.CaptureFixture[str]
) -> None:
    killed, events = kill_many(
        offroad_assessor, at_path(tmp_path / "store.sqlite"), ENOUGH, seed=11
    )
    with capsys.disabled():
        print(
            f"\n{killed} interviews killed, {ENOUGH} had shown a kept case, with {events} events; none lost"
        )
    assert events >= ENOUGH
