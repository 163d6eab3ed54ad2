"""Taking plain text options as they are typed, without the validation library that Typer would load for them.

That library costs as much time as DuckDB itself at every start, and does nothing for an option that is text.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from typer._coercion import RuntimeParam
from typer.models import ParameterInfo


@dataclass(frozen=True)
class PlainParam(RuntimeParam):
    """A parameter whose value is text, a list of texts, a flag, or a path that need not exist."""

    def _coerce_value(self, value: Any, param: Any, ctx: Any) -> Any:
        if self.annotation is Path:
            return Path(value)
        return list(value) if self.annotation == list[str] else value


def take_plainly(params: list[Any]) -> None:
    """Let the plain ones among a command's parameters be taken as typed; all others are left to Typer."""
    for param in params:
        wanted, info = param.type_descriptor.annotation, param.type_descriptor.parameter_info
        if _is_plain(wanted, info):
            param._runtime_param = PlainParam(parameter_info=info, annotation=wanted)


def _is_plain(wanted: Any, info: ParameterInfo) -> bool:
    if info.parser is not None:
        return False
    if wanted is Path:
        checked = info.exists or info.writable or info.resolve_path or info.path_type is not None
        return not checked and info.file_okay and info.dir_okay
    return wanted is bool or wanted is str or wanted == list[str]
