"""The keys at the foot of a screen follow what can be done, and stay put where that has not changed."""

from __future__ import annotations

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Input
from textual.widgets._footer import FooterKey

from tui.widgets.key_lines import KeyFooter


class TwoBoxes(Screen[None]):
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Help"),
        Binding("f2", "save", "Save"),
        Binding("f3", "save", "Save too"),
        Binding("f4", "more", "More", show=False),
    ]
    can_save = True

    def compose(self) -> ComposeResult:
        yield Input()
        yield Input()
        yield KeyFooter()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return action != "save" or self.can_save

    def foot_keys(self) -> list[FooterKey]:
        return list(self.query(FooterKey))

    def said(self) -> list[str]:
        return [key.description for key in self.foot_keys()]


async def test_keys_are_put_there_anew_only_where_they_have_changed() -> None:
    app = App[None]()
    async with app.run_test() as pilot:
        screen = TwoBoxes()
        await app.push_screen(screen)
        await pilot.pause()
        assert screen.said() == ["Help", "Save"]
        before = screen.foot_keys()
        screen.query(Input).last().focus()
        await pilot.pause()
        screen.refresh_bindings()
        await pilot.pause()
        assert [a is b for a, b in zip(screen.foot_keys(), before, strict=True)] == [True, True]
        screen.can_save = False
        screen.refresh_bindings()
        await pilot.pause()
        await pilot.pause()
        assert screen.said() == ["Help"]


async def test_keys_stand_closer_together_where_the_foot_is_compact() -> None:
    app = App[None]()
    async with app.run_test() as pilot:
        screen = TwoBoxes()
        await app.push_screen(screen)
        await pilot.pause()
        foot = screen.query_one(KeyFooter)
        wide = sum(key.size.width for key in screen.foot_keys())
        foot.compact = True
        await pilot.pause()
        assert sum(key.size.width for key in screen.foot_keys()) < wide
