"""Keys of a screen, as the one map of keys has them."""

from __future__ import annotations

from textual.binding import Binding

from tui.terminal.keys import KEYS

_SPELLED = {"?": "question_mark"}


def keyed(  # what Textual's Binding takes
    sign: str,
    action: str,
    about: str,
    name: str = "",
    *,
    id: str | None = None,  # noqa: A002
    show: bool = True,
    also: str = "",
) -> Binding:
    """A key with its usual name, or another `name` of the map; `about` says what it does here, and
    `also` is a key besides, such as `tab`. Raises `KeyError` for a key or name not in the map."""
    key = KEYS[sign]
    if name and name not in key.names:
        raise KeyError(f"{sign} {name}")
    keys = ",".join(filter(None, (_SPELLED.get(sign, sign), also)))
    shown = f"{sign}/{also.capitalize()}" if also else sign
    return Binding(
        keys, action, name or key.name, tooltip=about, id=id, show=show, key_display=shown
    )
