"""Keys are handled strictly one after another, so that keys typed ahead are not lost or misread.

A key waits while something is being worked out, and until the screen that the key before it opened
can receive it: `harsh` typed right after the key that opens the search goes into the search. Pasted
text waits its turn among the keys.
"""

from __future__ import annotations

import asyncio
from collections import deque
from contextlib import suppress
from itertools import takewhile

from textual import events
from textual.app import App
from textual.driver import Driver
from textual.message_pump import MessagePump
from textual.widget import Widget
from textual.widgets import Input, TextArea

from tui.app.flood import bounded

# leaving must work at any time
_AT_ONCE = frozenset({"ctrl+q", "ctrl+c"})
# how long the next key waits where the widget that had the last one is gone (seconds)
PATIENCE = 2.0
# how often a wait checks whether the app is being closed (seconds)
_GLANCE = 0.1
MOST_WAITING = 4_000
_MANY = 100
MOST_PASTED = 2_000
"""How many characters of a paste are looked at; every box takes one line."""


class TypeAheadApp(App[None]):
    """An app that queues keys. `hold_keys` and `release_keys` pair up around work."""

    def __init__(self) -> None:
        super().__init__()
        self._typed: deque[events.Key | events.Paste] = deque()
        self._feeder: asyncio.Task[None] | None = None
        self._free = asyncio.Event()
        self._free.set()
        self._holds = 0
        self._releases: set[asyncio.Task[None]] = set()
        self._sent = self._received = 0  # keys that the terminal has sent, and that came here

    def get_driver_class(self) -> type[Driver]:
        """The driver of this platform, which reads no more keys than may wait."""
        return bounded(super().get_driver_class())

    def takes(self, key: events.Key) -> bool:
        """Whether there is room for one more key; called from the thread that reads them."""
        waiting = self._sent - self._received + len(self._typed)
        if key.key not in _AT_ONCE and waiting >= MOST_WAITING:
            return False
        self._sent += 1
        return True

    @property
    def is_holding(self) -> bool:
        """Whether keys are waiting for work to end."""
        return not self._free.is_set()

    @property
    def _is_left(self) -> bool:
        return self._closing or self._closed

    @property
    def _hears(self) -> bool:
        return self.is_running and not self._is_left

    def hold_keys(self) -> None:
        """Let keys wait until this and every other hold is released."""
        self._holds += 1
        self._free.clear()

    async def freed(self) -> None:
        """Called whenever keys no longer wait."""

    def release_keys(self) -> None:
        """Let keys be handled again once the screen shows what was worked out."""
        release = asyncio.create_task(self._release())
        self._releases.add(release)
        release.add_done_callback(self._releases.discard)

    async def _release(self) -> None:
        try:
            await self._shown()
        finally:
            self._holds -= 1
            if not self._holds:
                self._free.set()
                await self.freed()

    def drop_typed_keys(self) -> int:
        """Forget the keys that wait, and say how many they were."""
        count = len(self._typed)
        self._typed.clear()
        return count

    def _handle_exception(self, error: Exception) -> None:
        # no work goes on after this, so waiting for it would never end
        self._free.set()
        super()._handle_exception(error)

    async def settled(self) -> None:
        """Return once every key typed so far is handled and nothing is being worked out.

        Returns at once where the app is being closed, as it handles no more keys then.
        """
        received = asyncio.Event()
        self.call_later(received.set)
        while not received.is_set() and self._hears:
            await self._patiently(received)
        while self._hears:
            feeder = self._feeder
            if self.is_holding:
                await self._patiently(self._free)
            elif feeder is not None and not feeder.done():
                await asyncio.wait([feeder], timeout=_GLANCE)
            else:
                await self._shown()
                if not self._typed and not self.is_holding:
                    return

    async def on_event(self, event: events.Event) -> None:
        """Queue a key or a paste that comes from the terminal; pass on every other event.

        A touch while something is being worked out is dropped: by the time it could be handled,
        something else may be under the finger.
        """
        if isinstance(event, events.MouseDown) and self.is_holding:
            self._mouse_down_widget = None  # Textual makes a click of the release otherwise
            return
        if not isinstance(event, events.Key | events.Paste) or event.is_forwarded:
            await super().on_event(event)
            return
        if isinstance(event, events.Key):
            self._received += 1
        if isinstance(event, events.Paste):
            event = events.Paste(pasted_line(event.text))
        elif event.key in _AT_ONCE:
            await super().on_event(event)
            return
        elif event.key == "ctrl+j":
            # Enter pressed before the terminal was set up arrives as a line feed
            event = events.Key("enter", "\r")
        elif len(self._typed) >= MOST_WAITING:
            return  # a paste without its signs; nobody types so far ahead
        self._typed.append(event)
        if self._feeder is None or self._feeder.done():
            self._feeder = asyncio.create_task(self._feed())

    async def _feed(self) -> None:
        try:
            while True:
                await self._free.wait()
                if not self._typed:
                    return
                event = self._next_typed()
                target = self.focused or self.screen
                await super().on_event(event)
                await self._passed_through(target)
                await self._shown()
        except Exception as error:
            self._handle_exception(error)

    def _next_typed(self) -> events.Key | events.Paste:
        """What waits longest; many letters for the box that has the focus are taken as a paste."""
        box = self.focused
        letters = "".join(takewhile(bool, (_letter_for(box, typed) for typed in self._typed)))
        if len(letters) < _MANY:
            return self._typed.popleft()
        for _ in letters:
            self._typed.popleft()
        if isinstance(box, Input) and box.max_length:
            # a box refuses a paste that is too long, and takes as many letters as fit
            letters = letters[: max(box.max_length - len(box.value), 0)]
        return events.Paste(letters[:MOST_PASTED])

    async def _passed_through(self, target: MessagePump) -> None:
        """Wait until a key sent to `target` has gone up through its parents to the app."""
        passed = asyncio.Event()

        def next_up(node: MessagePump | None) -> None:
            after = passed.set if node is None or node is self else None
            if node is None or not node.is_running:
                passed.set()
            elif after is not None:
                if not node.call_later(after):
                    passed.set()
            elif not node.call_later(next_up, node._parent):
                passed.set()

        next_up(target)
        await self._patiently(passed)

    async def _shown(self) -> None:
        """Wait until the screen on top has been drawn and has its focus.

        What a dialog returned is handled by the app after the dialog has gone, and may open another
        screen; so this waits until the same screen is on top twice.
        """
        before = None
        while not self._is_left and before is not self.screen:
            before = self.screen
            drawn, told = asyncio.Event(), asyncio.Event()
            if before.call_after_refresh(drawn.set):
                await self._patiently(drawn)
            if self.call_later(told.set):
                await self._patiently(told)

    async def _patiently(self, event: asyncio.Event) -> None:
        """Wait for `event`, at most `PATIENCE` seconds and not while the app is being closed."""
        loop = asyncio.get_running_loop()
        end = loop.time() + PATIENCE
        while not (event.is_set() or self._is_left or loop.time() > end):
            # not `wait_for`: up to Python 3.11 it may swallow being cancelled
            with suppress(TimeoutError):
                async with asyncio.timeout(_GLANCE):
                    await event.wait()


def _letter_for(box: Widget | None, typed: events.Key | events.Paste) -> str:
    """The letter that a key writes in the box that has the focus; nothing where it writes none."""
    if not isinstance(box, Input | TextArea) or not isinstance(typed, events.Key):
        return ""
    letter = typed.character or ""
    is_text = letter.isprintable() and box.check_consume_key(typed.key, letter)
    return letter if is_text else ""


def pasted_line(text: str) -> str:
    """The first line of a paste with anything in it, without characters that control a terminal."""
    for line in text[:MOST_PASTED].splitlines():
        plain = "".join(c for c in line.replace("\t", " ") if c.isprintable()).strip()
        if plain:
            return plain
    return ""
