"""The keys at the foot of a screen: side by side, and on below where they must."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.geometry import Size
from textual.layout import ArrangeResult
from textual.layouts.horizontal import HorizontalLayout
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Footer
from textual.widgets._footer import FooterKey


class KeyLines(HorizontalLayout):
    """Lines of as many keys as fit; keys are a line high."""

    name = "key-lines"

    def arrange(
        self, parent: Widget, children: list[Widget], size: Size, greedy: bool = True
    ) -> ArrangeResult:
        """Where each key goes."""
        placed = []
        begun, line = 0, 0
        for place in super().arrange(parent, children, size, greedy):
            if begun < place.region.x and place.region.right - begun > size.width:
                begun, line = place.region.x, line + 1
            placed.append(place._replace(region=place.region.translate((-begun, line))))
        return placed


class KeyFooter(Footer):
    """The keys that the screen shows at its foot. Textual's own puts all of them there anew, and
    styles each four times, at every change of focus: half of what drawing a screen took."""

    def __init__(self) -> None:
        super().__init__(show_command_palette=False)
        self.styles.set_rule("layout", KeyLines())
        self._put: list[tuple[str, str, str, str, bool, str]] = []
        self._is_due = False

    def _keys(self) -> list[tuple[str, str, str, str, bool, str]]:
        """What `FooterKey` takes, for each key that is shown; one key stands for each action."""
        keys: dict[str, tuple[str, str, str, str, bool, str]] = {}
        for _, binding, enabled, tooltip in self.screen.active_bindings.values():
            if binding.show and binding.action not in keys:
                sign = self.app.get_key_display(binding)
                parts = (binding.key, sign, binding.description, binding.action)
                keys[binding.action] = (*parts, not enabled, tooltip)
        return list(keys.values())

    def compose(self) -> ComposeResult:
        """The keys, once the screen knows them."""
        for parts in self._put:
            key = FooterKey(*parts, classes="-compact" if self.compact else "")
            key.set_reactive(FooterKey.compact, self.compact)
            yield key

    def watch_compact(self, compact: bool) -> None:
        """Draw the keys closer together, or farther apart."""
        for key in self.query(FooterKey):
            key.compact = compact

    def bindings_changed(self, screen: Screen[object]) -> None:
        """Look once, after what is under way, whether other keys are to be shown."""
        if not self._is_due and screen is self.screen and screen.app.app_focus:
            self._is_due = True
            self.call_after_refresh(self._renew)

    async def _renew(self) -> None:
        self._is_due = False
        if self.is_attached and (keys := self._keys()) != self._put:
            self._put = keys
            await self.recompose()
