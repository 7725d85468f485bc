"""An app without a screen that notes and notes in one case; prints how many events it has whenever
the next question shows. Run by the tests, which kill it."""

from __future__ import annotations

import asyncio
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from diagnose.advice.assessor import Assessor
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from rules.loading.loader import load_pack
from tests.places import MOWER
from tui.app.app import BadRideApp


async def main() -> None:
    """Called with FILE, the store to write to."""
    place = at_path(Path(sys.argv[1]))
    shop = Assessor(load_pack(MOWER))

    def open_it() -> Store:
        return open_store(place, lambda: datetime.now(UTC), create=True)

    app = BadRideApp(lambda: shop, open_store=open_it)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.settled()
        _say(0)
        await pilot.press("enter", "enter", "1", "enter", "enter")
        for _ in range(200):
            await app.settled()
            assert (
                app.rooms.cases.at_work is not None and app.rooms.cases.at_work.current is not None
            )
            _say(len(app.rooms.cases.at_work.current.case.events))
            await pilot.press("j", "x", "enter")


def _say(count: int) -> None:
    """Past what Textual makes of `print`, which may keep it back."""
    os.write(1, f"{count}\n".encode())


if __name__ == "__main__":
    asyncio.run(main())
