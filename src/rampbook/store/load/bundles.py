"""Changes made in one go: a bundle is of one place and one day, and is taken up whole or not at all."""

from __future__ import annotations

from rampbook.store.load.identify import GOOD
from rampbook.store.load.stage import SAME, TYPED, VERDICTS, Batch

_PLACE = ("athlete", "chair", "profile", "on")
_WHOLE = "Correct that row; then load the file again, and the whole bundle comes in together."


def check_bundles(batch: Batch) -> None:
    """Set aside changes whose bundle is of another place or day, has their setting twice, or lacks a refused row."""
    if batch.spec.name != "changes" or "bundle" not in batch.places:
        return
    _gather_members(batch)
    differs = " or ".join(f'm."{name}" is distinct from f."{name}"' for name in _PLACE)
    batch.run(
        f"insert into {VERDICTS} select m.row_number, 'bundle', "
        "format('bundle is \"{}\": its change {} is of another athlete, chair, profile or day', m.bundle, f.change), "
        "'A bundle is of one profile on one day. Give this change a bundle of its own, or none, and load again.' "
        "from members as m inner join firsts as f on m.bundle = f.bundle "
        f"where m.row_number is not null and ({differs})"
    )
    batch.run(
        f"insert into {VERDICTS} select m.row_number, 'bundle', "
        "format('bundle is \"{}\": it changes {} in {} already', m.bundle, m.setting, any_value(o.change)), "
        "'One go changes a setting once. Give this change a bundle of its own, or none, and load again.' "
        "from members as m inner join members as o on m.bundle = o.bundle and m.setting = o.setting and o.n < m.n "
        f"where m.row_number is not null and m.row_number not in (select row_number from {VERDICTS}) "
        "group by m.row_number, m.bundle, m.setting"
    )
    bad = batch.connection.execute(
        f"select bundle, min(row_number) from {TYPED} where bundle is not null and not ({GOOD}) group by bundle"
    ).fetchall()
    for bundle, row in bad:
        batch.run(
            f"insert into {VERDICTS} select row_number, 'bundle', ?, ? from {TYPED} "
            f"where bundle = ? and {GOOD} and row_number not in (select row_number from {SAME})",
            *refused_together(row),
            bundle,
        )


def refused_together(row: int) -> tuple[str, str]:
    """Return the reason and the remedy for a change whose bundle has a row that cannot be used."""
    return f"row {row} of the same bundle cannot be used, and a bundle is taken up whole", _WHOLE


def _gather_members(batch: Batch) -> None:
    """Put the changes of every bundle that the sheet speaks of in one table, the store's first."""
    names = ", ".join(f'"{name}"' for name in ("bundle", "change", *_PLACE, "setting"))
    batch.run(
        "create or replace temp table members as with together as ("
        f"select null::bigint as row_number, {names} from changes_now as c semi join {TYPED} as t "
        "on c.bundle = t.bundle where c.change not in "
        f"(select supersedes from {TYPED} where supersedes is not null) union all "
        f"select row_number, {names} from {TYPED} where bundle is not null and {GOOD} "
        f"and row_number not in (select row_number from {SAME})) "
        "select *, row_number() over (partition by bundle order by row_number nulls first, change) as n from together"
    )
    batch.run("create or replace temp table firsts as select * from members where n = 1")
