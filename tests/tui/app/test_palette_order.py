"""The palette starts with what one does on the screen that it was opened from."""

from __future__ import annotations

from typing import Any

from diagnose.advice.assessor import Assessor


async def test_answers_come_first_and_what_works_everywhere_last(
    open_app: Any, mower_assessor: Assessor
) -> None:
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter")
        names = await driver.palette()
        assert all(name.startswith("Answer: ") for name in names[:4])
        at = {words: next(n for n, name in enumerate(names) if words in name) for words in
              ("The case as a sheet", "Why this step", "Keys of this screen", "Dark or light")}  # fmt: skip
        assert at["The case as a sheet"] < at["Keys of this screen"]
        assert at["Why this step"] < at["Dark or light"]
        assert not any("Focus" in name or "command palette" in name for name in names)
