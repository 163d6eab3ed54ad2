"""What can be wrong with a row, and the SQL that finds it: one numbered list for each sheet."""

from __future__ import annotations

from dataclasses import dataclass, field

from rampbook.store.load.columns import Column, TableSpec

AGAIN = "Correct the cell and load the file again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that can be wrong; ``{value}`` in the reason becomes the cell as typed."""

    broken: str
    column: str
    reason: str
    remedy: str = AGAIN


@dataclass(slots=True, kw_only=True)
class ProblemList:
    """Problems in the order in which they are looked for; the number of a problem is its place here."""

    problems: list[Problem] = field(default_factory=list)

    def add(self, problem: Problem) -> None:
        """Put a problem at the end."""
        self.problems.append(problem)

    def as_case(self) -> str:
        """Return the SQL that gives the number of a row's first problem, or null."""
        arms = " ".join(f"when {p.broken} then {number}" for number, p in enumerate(self.problems))
        return f"(case {arms} end)::smallint"


def problems_of(spec: TableSpec, *, present: set[str]) -> ProblemList:
    """Return the problems that one row of a table can have by itself and against athletes and practices.

    Parameters
    ----------
    spec : TableSpec
        The table.
    present : set of str
        The columns that the sheet has; one it has not cannot hold a bad value.
    """
    found = ProblemList()
    for column in spec.all_columns:
        if column.name in present:
            for problem in _unreadable(column):
                found.add(problem)
    for column in spec.all_columns:
        if column.required:
            found.add(_missing(column, by_practice=spec.by_practice))
    for rule in spec.rules:
        found.add(Problem(broken=f"({rule.broken})", column=rule.column, reason=rule.reason, remedy=rule.remedy))
    for problem in _against_the_record(spec):
        found.add(problem)
    return found


def _unreadable(column: Column) -> list[Problem]:
    """Return the ways in which a cell of a column cannot be used."""
    name, typed = f'"{column.name}"', f'"t_{column.name}"'
    reason = f'{column.name} is "{{value}}": it must be {column.expected}'
    if column.kind == "code":
        return _not_a_code(column, name)
    if column.kind in ("text", "name"):
        return []
    found = []
    if column.kind == "date":
        found.append(
            Problem(
                broken=f"{name} is null and {typed} is not null and is_either_way({typed})",
                column=column.name,
                reason=f'{column.name} is "{{value}}": day and month could be read either way round',
                remedy="Write it like 2026-03-05, or load the file again with --day-first or --month-first.",
            )
        )
    found.append(Problem(broken=f"{name} is null and {typed} is not null", column=column.name, reason=reason))
    bounds = _out_of_bounds(column, name)
    if bounds:
        found.append(Problem(broken=bounds, column=column.name, reason=reason))
    return found


def _not_a_code(column: Column, name: str) -> list[Problem]:
    """Return the problem of a code with a space in it: people are known by codes, and names have spaces."""
    # A plain search for a space is three times as fast; people's names are looked for with more care.
    broken = f"regexp_matches({name}, '[\\s\\x{{A0}}]')" if column.name == "athlete" else f"contains({name}, ' ')"
    who = "a code without spaces, never a name" if column.name == "athlete" else "a code without spaces"
    return [
        Problem(
            broken=broken,
            column=column.name,
            reason=f'{column.name} is "{{value}}": it must be {who}',
            remedy="Write a code such as K01 and load the file again.",
        )
    ]


def _out_of_bounds(column: Column, name: str) -> str:
    """Return the SQL for a typed value outside what the column allows, or nothing."""
    if column.kind == "date":
        # Years that a club could mean; anything else is a slip.
        return f"{name} not between date '1900-01-01' and date '2199-12-31'"
    if column.kind == "choice":
        listed = ", ".join(f"'{choice}'" for choice in column.choices)
        return f"{name} not in ({listed})"
    parts = []
    if column.above is not None:
        parts.append(f"{name} <= {column.above!r}")
    if column.low is not None:
        parts.append(f"{name} < {column.low!r}")
    if column.high is not None:
        parts.append(f"{name} > {column.high!r}")
    return f"({' or '.join(parts)})" if parts else ""


def _missing(column: Column, *, by_practice: bool) -> Problem:
    """Return the problem of an empty cell that has to be filled in."""
    if by_practice and column.name == "athlete":
        return Problem(
            broken="athlete is null and not practice_is_unknown",
            column="athlete",
            reason="athlete is empty, and no practice says whose row it is",
            remedy="Write the code of the athlete and load the file again.",
        )
    return Problem(
        broken=f'"{column.name}" is null',
        column=column.name,
        reason=f"{column.name} is empty: it must be {column.expected}",
        remedy="Fill in the cell and load the file again.",
    )


def _against_the_record(spec: TableSpec) -> list[Problem]:
    """Return the problems that need the athletes and practices of the store."""
    found = []
    if spec.by_practice:
        found += [
            Problem(
                broken="practice_is_unknown",
                column="practice",
                reason='practice is "{value}": there is no practice of that id',
                remedy="Add it to practices, or leave practice empty and give athlete and date; then load again.",
            ),
            Problem(
                broken="athlete <> practice_athlete",
                column="athlete",
                reason='athlete is "{value}": the practice of this row is another athlete\'s',
                remedy="Correct the athlete or the practice and load the file again.",
            ),
            Problem(
                broken='practice is null and "on" is null',
                column="practice",
                reason="practice is empty, and there is no date to find it by",
                remedy="Write the id of the practice, or the athlete and the date, and load the file again.",
            ),
        ]
    if spec.name != "athletes" and any(column.name == "athlete" for column in spec.columns):
        found += _not_allowed()
    return found


def _not_allowed() -> list[Problem]:
    """Return the problems of an athlete who is not known or has not agreed."""
    return [
        Problem(
            broken="athlete is not null and not athlete_is_known",
            column="athlete",
            reason='athlete is "{value}": no such athlete is recorded',
            remedy="Add the athlete and the consent to athletes and load again.",
        ),
        Problem(
            broken="consent_given = 'none'",
            column="athlete",
            reason='athlete is "{value}", whose consent is none: nothing about this athlete may be kept',
            remedy="Load the row only after the athlete has agreed and the new consent is in athletes.",
        ),
        Problem(
            broken="athlete is not null and consent_given is null",
            column="athlete",
            reason='athlete is "{value}", whose consent is not recorded',
            remedy="Write club or pool in the athlete's consent, if that was agreed, and load again.",
        ),
    ]
