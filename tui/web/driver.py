"""How a program that shows on a page talks with the server that started it."""

from __future__ import annotations

from textual import messages
from textual.drivers.web_driver import WebDriver


class PageDriver(WebDriver):
    """Textual's driver for pages, which also ends with its server and can go on on another page."""

    def run_input_thread(self) -> None:
        """Pass on what comes in, and end the program when nothing more can come."""
        super().run_input_thread()
        if not self.exit_event.is_set():
            self._app.post_message(messages.ExitApp())

    def on_meta(self, packet_type: str, payload: dict[str, object]) -> None:
        """Do what the server asks; `attach` is a new page that has seen nothing yet."""
        if packet_type == "attach":
            self.write("\x1b[?1049h\x1b[?25l")
            self._enable_mouse_support()
            self._enable_bracketed_paste()
            super().on_meta("resize", payload)
            self._app.call_from_thread(self._app.refresh, layout=True)
        else:
            super().on_meta(packet_type, payload)
