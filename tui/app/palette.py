"""The command palette: every action of the screen it was opened from, answers included."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from textual.binding import ActiveBinding
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.dom import DOMNode

_DYNAMIC = frozenset({"answer", "pick", "mark", "number", "tick", "way"})
# what the keyboard and the palette itself do anyhow
_NEEDLESS = frozenset(
    {
        "app.focus_next",
        "app.focus_previous",
        "screen.copy_text",
        "app.command_palette",
        "command_palette",
    }
)


class CardActions(Provider):
    """Offers the actions of the screen on top by name."""

    def _actions(self) -> Iterator[tuple[str, str, Any]]:
        """(name, help, what to run) of each action that can be run now."""
        speak = getattr(self.screen, "spoken_actions", None)
        if speak is not None:
            for name, action in speak():
                yield name, "", partial(self.app.run_action, action, self.screen)
        seen = set()
        # what one does on this screen first, what works everywhere after it
        bound = self.screen.active_bindings.values()
        for active in sorted(bound, key=lambda one: one.node is self.app or _is_general(one)):
            binding = active.binding
            node: DOMNode = active.node
            dynamic = binding.action.split("(")[0] in _DYNAMIC
            named = binding.description and binding.action not in _NEEDLESS
            if not active.enabled or dynamic or not named or binding.system:
                continue
            if binding.action in seen:
                continue
            seen.add(binding.action)
            keys = self.app.get_key_display(binding)
            name = binding.tooltip or binding.description
            yield f"{name} ({keys})", "", partial(self.app.run_action, binding.action, node)

    async def discover(self) -> Hits:
        """Every action, before a letter is typed."""
        for name, words, run in self._actions():
            yield DiscoveryHit(name, run, help=words or None)

    async def search(self, query: str) -> Hits:
        """The actions whose names match what was typed."""
        matcher = self.matcher(query)
        for name, words, run in self._actions():
            score = matcher.match(name)
            if score > 0:
                yield Hit(score, matcher.highlight(name), run, help=words or None)


def _is_general(active: ActiveBinding) -> bool:
    return active.binding.action.startswith("app.")
