"""Which files of ours one answer on screen passes through, from Enter to the next question shown.

pytest -n 0 -s tests/bench/test_bench_trace.py
"""

from __future__ import annotations

import sys
import threading
from collections import Counter
from pathlib import Path
from types import FrameType

import pytest

from diagnose.advice.assessor import Assessor
from tui.app.app import BadRideApp

ROOT = str(Path(__file__).parents[2])
OURS = tuple(f"{ROOT}/{name}/" for name in ("rules", "diagnose", "tui"))
WISHED = 25
"""Files a newcomer can hold in mind (from memory); the count printed beside it is above this yet."""


class Trace:
    """Calls from one file of ours to another, while it is switched on, in every thread."""

    def __init__(self) -> None:
        self.on = False
        self.files: Counter[str] = Counter()
        self.hops: Counter[tuple[str, str]] = Counter()

    def __call__(self, frame: FrameType, event: str, arg: object) -> None:
        if not self.on or event != "call":
            return
        file = frame.f_code.co_filename
        if not file.startswith(OURS):
            return
        name = file.removeprefix(f"{ROOT}/")
        self.files[name] += 1
        caller = frame.f_back
        while caller is not None and not caller.f_code.co_filename.startswith(OURS):
            caller = caller.f_back
        if caller is not None and caller.f_code.co_filename != file:
            self.hops[caller.f_code.co_filename.removeprefix(f"{ROOT}/"), name] += 1


async def test_one_answer(offroad_assessor: Assessor, capsys: pytest.CaptureFixture[str]) -> None:
    app = BadRideApp(lambda: offroad_assessor)
    trace = Trace()
    threading.setprofile(trace)
    sys.setprofile(trace)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            cases = app.rooms.cases

            async def press(*keys: str) -> None:
                for key in keys:
                    await pilot.press(key)
                    await app.at_rest()

            await app.at_rest()
            await press("enter", "enter", "1", "1", "enter", "enter")
            for _ in range(40):
                assessed = cases.current.assessed
                assert assessed is not None
                if assessed.assessment.step.target == "front-tyre-gauge":
                    break
                await press("question_mark")
            await press(*"25", "space", *"psi")
            before = len(cases.current.case.events)
            trace.on = True
            await press("enter")
            trace.on = False
            assert len(cases.current.case.events) == before + 1
    finally:
        sys.setprofile(None)
        threading.setprofile(None)
    with capsys.disabled():
        hops = sum(trace.hops.values())
        print(f"\n{len(trace.files)} files where {WISHED} are wished, {hops} hops between them")
        for room, files in sorted(Counter(str(Path(name).parent) for name in trace.files).items()):
            print(f"{files:>6} files  {room}")
        for name, calls in sorted(trace.files.items()):
            print(f"{calls:>6} calls  {name}")
