"""The page that a served program shows on: the guest's device, which files come from and go to."""

from __future__ import annotations

from typing import Protocol


class Page(Protocol):
    """What the program may ask of the device. Each asks until it is answered or cancelled, also
    when the page is loaded anew meanwhile."""

    async def take_file(self) -> tuple[str, bytes]:
        """Let the guest choose a file of the device; its name and what it holds."""

    async def hand_over(self, name: str, content: bytes) -> None:
        """Offer a file to the guest; returns once the device has taken it."""
