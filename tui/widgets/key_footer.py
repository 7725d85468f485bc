"""The keys of a screen in its last line."""

from __future__ import annotations

from textual.widgets import Footer


class KeyFooter(Footer):
    """Made anew only where it would show something else: with every answer that is slow."""

    def __init__(self) -> None:
        super().__init__(show_command_palette=False)
        self._made: object = None

    async def recompose(self) -> None:
        """Show the keys as they are now."""
        if not self.is_attached:
            return
        shown = [
            (binding.key, self.app.get_key_display(binding), binding.description, enabled, tooltip)
            for _, binding, enabled, tooltip in self.screen.active_bindings.values()
            if binding.show
        ]
        if shown != self._made:
            self._made = shown
            await super().recompose()
