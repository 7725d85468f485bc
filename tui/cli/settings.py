"""What a person has set once and for all: a small YAML file in their configuration folder.

What is given on the command line goes before an environment variable, and that before the file.
"""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import Any, Literal, get_args

import platformdirs
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from rules.given_paths import given_path
from rules.problems import BadInput, FileProblems
from rules.yaml_source import YamlText, read_yaml_file, suggest

ENVIRONMENT = "BADRIDE_SETTINGS"

Theme = Literal["dark", "light"]
Signs = Literal["unicode", "ascii"]
Colour = Literal["full", "none"]
Motion = Literal["full", "basic", "none"]


class Settings(BaseModel):
    """Everything that can be set; None is what the program would do by itself."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    theme: Theme | None = Field(None, description="dark or light colours (Ctrl-T)")
    large: bool | None = Field(None, description="large targets, for a tablet or gloves (Ctrl-L)")
    signs: Signs | None = Field(None, description="signs to draw with: unicode or ascii")
    colour: Colour | None = Field(None, description="full or none, as NO_COLOR does")
    motion: Motion | None = Field(None, description="how much moves: full, basic or none")
    decimal_comma: bool | None = Field(
        None, description="show 12,5 psi; both are always understood"
    )
    store: str | None = Field(None, description="file or URL of the store, as BADRIDE_STORE")
    packs: list[str] | None = Field(None, description="folders of packs, as BADRIDE_PACKS")


NAMES = tuple(Settings.model_fields)


def settings_path(environment: Mapping[str, str]) -> Path:
    """The file, whether there is one or not."""
    given = environment.get(ENVIRONMENT)
    if given:
        return given_path(given)
    return Path(platformdirs.user_config_dir("badride", appauthor=False)) / "settings.yaml"


def read_settings(path: Path) -> Settings:
    """The settings of a file; none where there is no file. Raises `FileProblems`."""
    document = _document(path)
    if document is None:
        return Settings()
    if not isinstance(document.data, dict):
        message = "write lines such as `theme: light`"
        raise FileProblems([document.problem("mapping", (), message)])
    try:
        return Settings.model_validate(document.data)
    except ValidationError as error:
        problems = document.from_validation(error)
        raise FileProblems(_with_hint(document, problem) for problem in problems) from error


def keep_setting(path: Path, name: str, text: str | None) -> Settings:
    """Write one setting, and leave the rest of the file as it stands; None takes it out.

    Raises `BadInput` for a name or value that is not known, or a file that cannot be changed so.
    """
    if name not in NAMES:
        raise BadInput(f"{name!r} cannot be set{suggest(name, NAMES)}; one of {', '.join(NAMES)}")
    if text is not None:
        _check(name, text)
    read_settings(path)
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    at = _line_of(path, name)
    line = [] if text is None else [f"{name}: {_written(name, text)}"]
    if at is None:
        lines += line
    else:
        lines[at : at + 1] = line
    if not any(row.strip() and not row.lstrip().startswith("#") for row in lines):
        lines = [row for row in lines if row.strip()]
    _write(path, "".join(f"{row}\n" for row in lines))
    return read_settings(path)


def apply_to_terminal(settings: Settings, environment: MutableMapping[str, str]) -> None:
    """Tell the libraries that draw; they look only once, so before they are imported."""
    if settings.colour == "none":
        environment.setdefault("NO_COLOR", "1")
    if settings.motion is not None:
        environment.setdefault("TEXTUAL_ANIMATIONS", settings.motion)


def option_defaults(settings: Settings, environment: Mapping[str, str]) -> dict[str, Any]:
    """What the settings make of the options that several commands share, by parameter name."""
    store = None if environment.get("BADRIDE_STORE") else settings.store
    found: dict[str, Any] = {
        "light": None if settings.theme is None else settings.theme == "light",
        "large": settings.large,
        "ascii_only": None if settings.signs is None else settings.signs == "ascii",
        "store": store,
        "pack": settings.packs,
    }
    return {name: value for name, value in found.items() if value is not None}


def _document(path: Path) -> YamlText | None:
    if not path.exists():
        return None
    if path.is_file() and not any(_says_something(row) for row in path.read_bytes().splitlines()):
        return None
    return read_yaml_file(path)


def _says_something(row: bytes) -> bool:
    return bool(row.strip()) and not row.lstrip().startswith(b"#")


def _with_hint(document: YamlText, problem: Any) -> Any:
    if problem.code != "extra-forbidden":
        return problem
    hint = suggest(problem.field, NAMES) or f"; one of {', '.join(NAMES)}"
    return document.problem(problem.code, (problem.field,), problem.message + hint)


def _values(name: str) -> tuple[str, ...]:
    """What may be written, where that is a fixed list."""
    annotation = Settings.model_fields[name].annotation
    kind = next(part for part in get_args(annotation) if part is not type(None))
    if kind is bool:
        return ("true", "false")
    return tuple(get_args(kind)) if kind not in (str,) and name != "packs" else ()


def _check(name: str, text: str) -> None:
    allowed = _values(name)
    if allowed and text not in allowed:
        raise BadInput(f"{name} can be {', '.join(allowed)}, not {text!r}")
    if "\n" in text or not text.isprintable() or not text:
        raise BadInput(f"{name} must be one line of text")


def _written(name: str, text: str) -> str:
    if _values(name):
        return text
    quoted = ["'" + part.replace("'", "''") + "'" for part in _parts(name, text)]
    return f"[{', '.join(quoted)}]" if name == "packs" else quoted[0]


def _parts(name: str, text: str) -> list[str]:
    return text.split(":") if name == "packs" else [text]


def _line_of(path: Path, name: str) -> int | None:
    """The line to replace, counted from 0. Raises `BadInput` where it takes more than one."""
    document = _document(path)
    if document is None or name not in document.data:
        return None
    lines = {place[0] for at, place in document.positions.items() if at[:1] == (name,)}
    first = document.place((name,))[0]
    if lines - {first}:
        raise BadInput(f"{path}:{first}: {name} takes several lines; change it there")
    return first - 1


def _write(path: Path, text: str) -> None:
    from diagnose.records.file_writing import write_text  # seldom needed

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{path.parent}: {error.strerror}") from error
    write_text(path, text)
