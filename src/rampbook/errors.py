"""Every error that Rampbook raises for a person to read.

::

    RampbookError
    ├── EntryError          a value that was typed, or asked for, cannot be used
    │   └── SettingBlocked  a setting's rule stands in the way; carries what blocks it and the steps that free it
    ├── SeriesError         a table of practices does not fit the column contract
    ├── DesignError         too little, or the wrong shape, to estimate from
    ├── StoreError          the store cannot be opened, read or written
    │   ├── StoreLockedError  another program is writing to it
    │   └── MigrationError    its schema could not be brought up to date
    └── ReportError         a page or picture could not be made

A message says what happened, which value and where, and what to do. Anything else that is raised is a fault
of the program and keeps its traceback.
"""

from __future__ import annotations

from typing import Any


class RampbookError(Exception):
    """Base of all errors that a person can put right."""


class EntryError(RampbookError):
    """A value that was typed cannot be used.

    Parameters
    ----------
    message : str
        What happened and what to do.
    field : str, optional
        The column, option or form field that holds the value.
    value : object, optional
        The value as it was typed.
    """

    def __init__(self, message: str, *, field: str | None = None, value: Any = None) -> None:
        super().__init__(message)
        self.field = field
        self.value = value


class SettingBlocked(EntryError):
    """A rule of the settings forbids a value; ``blocked_by`` and ``steps`` are as in the JSON of ``settings --can``."""

    def __init__(
        self, message: str, *, blocked_by: list[dict[str, Any]], steps: list[dict[str, Any]], value: Any = None
    ) -> None:
        super().__init__(message, field="value", value=value)
        self.blocked_by = blocked_by
        self.steps = steps


class SeriesError(RampbookError):
    """A table of practices does not fit the column contract of a series."""

    def __init__(self, message: str, *, column: str | None = None, row: int | None = None) -> None:
        super().__init__(message)
        self.column = column
        self.row = row


class DesignError(RampbookError):
    """There is too little, or the wrong shape, to estimate from."""


class StoreError(RampbookError):
    """The store cannot be opened, read or written."""


class StoreLockedError(StoreError):
    """Another program holds the store."""


class MigrationError(StoreError):
    """The store's schema could not be brought up to date."""


class ReportError(RampbookError):
    """A page or a picture could not be made."""
