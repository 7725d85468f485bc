"""Interviews killed with SIGKILL at random moments: whatever had been answered before a question was
shown is there when the case is resumed, and the store is never damaged."""

from __future__ import annotations

import hashlib
import os
import random
import signal
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.case import Case
from diagnose.interview import Workshop
from diagnose.records.case_book import CaseBook
from diagnose.records.checking import check_everything
from diagnose.records.opening import open_store
from diagnose.records.place import Place, at_path
from diagnose.records.problems import NotFound
from diagnose.records.recording import RecordedInterview
from tui.plain import PlainInterview

INTERVIEWS = 240
SHOWN = b"\x00"


def digest(case: Case, events: int) -> bytes:
    return hashlib.sha256(repr(case.events[:events]).encode()).hexdigest()[:16].encode()


def child(shop: Workshop, place: Place, number: int | None, lines: int, pipe: int) -> None:
    """An interview that tells, with every prompt it shows, what it believes to be recorded."""
    store = open_store(place, lambda: datetime.now(UTC))
    book = CaseBook(store, shop.rules)
    kept = None if number is None else book.read(number)
    interview = RecordedInterview(shop, book, kept=kept)

    def read(prompt: str) -> str:
        kept = interview.kept
        told = b"%d %d %s" % (
            kept.id if kept else 0,
            len(interview.case.events),
            digest(interview.case, 999),
        )
        text = prompt.encode() + SHOWN + told + SHOWN
        os.write(pipe, len(text).to_bytes(4, "big") + text)
        line = os.read(lines, 100)
        if not line:
            raise EOFError
        return line.decode()

    PlainInterview(interview, read, lambda text: None).run()


def run_and_kill(
    shop: Workshop, place: Place, number: int | None, rng: random.Random
) -> tuple[int, int, bytes] | None:
    """The last (case, events, digest) that was shown before the kill, None where nothing was."""
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
            last = shown[1]
            asked += 1
            typed.write(answer(shown[0], rng))
        time.sleep(rng.random() * 0.02)
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        while (shown := next_prompt(pipe)) is not None:
            last = shown[1]
    return last if last is not None and last[0] else None


def next_prompt(pipe: object) -> tuple[str, tuple[int, int, bytes]] | None:
    size = pipe.read(4)  # type: ignore[attr-defined]
    if len(size) < 4:
        return None
    text = pipe.read(int.from_bytes(size, "big"))  # type: ignore[attr-defined]
    prompt, told, _ = text.split(SHOWN)
    number, events, seen = told.split()
    return prompt.decode(), (int(number), int(events), seen)


def answer(prompt: str, rng: random.Random) -> bytes:
    if prompt.startswith("complaint"):
        return rng.choice([b"harsh\n", b"wallow\n", b"\n"])
    if prompt.startswith("key (Enter"):
        return rng.choice([b"1\n", b"2\n"])
    if prompt.startswith("key"):
        return rng.choice([b"f\n", b"d\n", b"x\n", b"a\n", b"?\n", b"b\n", b"k\n"])
    return rng.choice([b"?\n", b"?\n", b"1\n", b"n\n", b"y\n", b"2\n", b"b\n"])


def kill_many(shop: Workshop, place: Place, interviews: int, seed: int) -> tuple[int, int]:
    """Kill interviews and look at the store after each. Returns how many showed a kept case and how
    many events they had."""
    rng = random.Random(seed)
    clock: Callable[[], datetime] = lambda: datetime.now(UTC)  # noqa: E731
    store = open_store(place, clock, create=True)
    book = CaseBook(store, shop.rules)
    known: dict[int, tuple[int, bytes]] = {}
    shown = events = 0
    for _ in range(interviews):
        resumed = rng.choice(sorted(known)) if known and rng.random() < 0.4 else None
        last = run_and_kill(shop, place, resumed, rng)
        if last is not None:
            number, count, seen = last
            shown += 1
            events += count
            case = book.read(number).case
            # the answer that was being recorded may be there as well, or taken back already
            assert abs(len(case.events) - count) <= 1, (number, count, len(case.events))
            if len(case.events) >= count:
                assert digest(case, count) == seen
            known[number] = (len(case.events), digest(case, 999))
        for number, (count, seen) in known.items():
            if number != (last[0] if last else resumed):
                case = book.read(number).case
                assert (len(case.events), digest(case, 999)) == (count, seen)
        if resumed is not None and last is None:
            case = book.read(resumed).case
            known[resumed] = (len(case.events), digest(case, 999))
    check_everything(store, shop.rules)
    number = max(known)
    again = RecordedInterview(shop, book, kept=book.read(number))
    assert again.assessment.step.kind
    with pytest.raises(NotFound):
        book.read(10_000)
    store.close()
    return shown, events


def test_a_few_interviews_killed_at_random_lose_nothing(
    tmp_path: Path, mower_shop: Workshop
) -> None:
    shown, events = kill_many(mower_shop, at_path(tmp_path / "store.sqlite"), 25, seed=3)
    assert shown >= 10
    assert events >= 20


@pytest.mark.slow
def test_many_interviews_killed_at_random_lose_nothing(
    tmp_path: Path, offroad_shop: Workshop, capsys: pytest.CaptureFixture[str]
) -> None:
    shown, events = kill_many(offroad_shop, at_path(tmp_path / "store.sqlite"), INTERVIEWS, seed=11)
    with capsys.disabled():
        print(
            f"\n{INTERVIEWS} interviews killed, {shown} had shown a kept case, with {events} events; none lost"
        )
    assert shown >= 150
