"""Which practice a row belongs to, what it is called, and whether it is there already."""

from __future__ import annotations

from rampbook.store.load.stage import SAME, TYPED, VERDICTS, Batch

GOOD = f"problem is null and row_number not in (select row_number from {VERDICTS})"
_SEPARATOR = "chr(31)"


def find_practices(batch: Batch) -> int:
    """Give rows that name only athlete and date their practice; return how many practices had to be made."""
    if not batch.spec.by_practice:
        return 0
    if not batch.one(f"select count(*) from {TYPED} where practice is null and {GOOD}"):
        return 0
    batch.run(
        'create or replace temp table days as select p.athlete, p."on", count(*) as n, '
        "any_value(p.practice) as practice "
        'from practices_now as p group by p.athlete, p."on"'
    )
    batch.run(
        f"insert into {VERDICTS} select t.row_number, 'practice', "
        "format('{} had {} practices on {}: it is not clear which one this row belongs to', t.athlete, d.n, t.\"on\"), "
        "'Write the id of the practice and load the file again.' "
        f'from {TYPED} as t inner join days as d on t.athlete = d.athlete and t."on" = d."on" '
        "where t.practice is null and t.problem is null and d.n > 1"
    )
    made = _make_practices(batch)
    batch.run(
        f"update {TYPED} set practice = coalesce("
        f'(select d.practice from days as d where d.athlete = {TYPED}.athlete and d."on" = {TYPED}."on"), '
        "athlete || '@' || \"on\") "
        f"where practice is null and {GOOD}"
    )
    return made


def _make_practices(batch: Batch) -> int:
    """Make the practices of days on which the store has none; return how many."""
    missing = (
        f'select distinct t.athlete, t."on" from {TYPED} as t '
        f'anti join days as d on t.athlete = d.athlete and t."on" = d."on" where t.practice is null and {GOOD}'
    )
    made = batch.one(f"select count(*) from ({missing})")
    if made:
        batch.run(
            'insert into practices (practice, athlete, "on", extra) '
            f"select athlete || '@' || \"on\", athlete, \"on\", json_object('made_from', ?) from ({missing})",
            batch.label,
        )
    return made


def name_rows(batch: Batch) -> None:
    """Give every usable row without an id one that depends on its content alone."""
    spec = batch.spec
    if not batch.one(f'select count(*) from {TYPED} where "{spec.id}" is null and {GOOD}'):
        batch.run(f"alter table {TYPED} add column is_made boolean default false")
        return
    batch.run(f"alter table {TYPED} add column is_made boolean default false")
    batch.run(
        f'update {TYPED} set is_made = true, "{spec.id}" = {_made_id(batch)} where "{spec.id}" is null and {GOOD}'
    )


def _made_id(batch: Batch) -> str:
    """Return the SQL of an id made from the key; the same row gets the same id on every machine."""
    spec = batch.spec
    hashed = f"sha256(concat_ws({_SEPARATOR}, {_texts((*spec.key, 'supersedes'))}))"
    if spec.name == "practices":
        plain = "athlete || '@' || \"on\" || coalesce('T' || \"time\", '')"
    elif spec.name in ("athletes", "chairs", "catalogue"):
        plain = spec.key[0]
    else:
        return f"left({hashed}, 16)"
    corrected = f"sha256(concat_ws({_SEPARATOR}, {_texts(spec.stored)}))"
    return f"case when supersedes is null then {plain} else {plain} || '~' || left({corrected}, 8) end"


def _texts(names: tuple[str, ...]) -> str:
    # Empty cells count too: concat_ws would skip a null and let two different rows look alike.
    return ", ".join(f"coalesce(\"{name}\"::varchar, '')" for name in names)


def sort_out_repeats(batch: Batch) -> None:
    """Mark rows that repeat an earlier row of the sheet: the same again, typed twice, or in contradiction."""
    spec = batch.spec
    repeated = f'select "{spec.id}" as id from {TYPED} where {GOOD} group by "{spec.id}" having count(*) > 1'
    batch.run(f"create or replace temp table repeated as {repeated}")
    if not batch.one("select count(*) from repeated"):
        return
    batch.run(
        "create or replace temp table pairs as "
        f'with members as (select t.* from {TYPED} as t semi join repeated as r on t."{spec.id}" = r.id where {GOOD}), '
        f'firsts as (select "{spec.id}" as id, min(row_number) as first_row from members group by all) '
        "select m.row_number, f.first_row, m.is_made, "
        f'{_equal(batch, "m", "first")} as is_equal, m."{spec.id}" as id '
        f'from members as m inner join firsts as f on m."{spec.id}" = f.id and m.row_number > f.first_row '
        "inner join members as first on f.first_row = first.row_number"
    )
    batch.run(f"insert into {SAME} select row_number from pairs where is_equal and not is_made")
    batch.run(
        f"insert into {VERDICTS} select row_number, null, "
        "'this row says the same as row ' || first_row || ' and has no id: it looks typed twice', "
        f"'Leave it out; if it was a second one, give each its own id in the column {spec.id}.' "
        "from pairs where is_equal and is_made"
    )
    batch.run(
        f"insert into {VERDICTS} select row_number, ?, {_CONFLICT_HERE} from pairs where not is_equal",
        spec.id,
    )


_CONFLICT_HERE = (
    "'row ' || first_row || ' has the same id ' || id || ' with other content', "
    "'Give each its own id; to correct a row, add a new one with its own id and write ' || id || ' in supersedes.'"
)


def compare_with_store(batch: Batch) -> None:
    """Mark rows that are in the store already, and those whose id is taken by other content."""
    spec = batch.spec
    if not batch.one(f"select count(*) from (select 1 from {spec.name} limit 1)"):
        return
    batch.run(
        "create or replace temp table met as "
        f'select t.row_number, t."{spec.id}" as id, {_equal(batch, "t", "s")} as is_equal '
        f'from {TYPED} as t inner join {spec.name} as s on t."{spec.id}" = s."{spec.id}" '
        f"where t.problem is null"
    )
    if not batch.one("select count(*) from met"):
        return
    for table in (VERDICTS, SAME):
        batch.run(f"delete from met where row_number in (select row_number from {table})")
    batch.run(f"insert into {SAME} select row_number from met where is_equal")
    batch.run(
        f"insert into {VERDICTS} select row_number, ?, "
        "'the store has a row with the id ' || id || ' and other content', "
        "'To correct it, add a new row with its own id and write ' || id || ' in supersedes; a different row needs "
        "an id of its own.' "
        "from met where not is_equal",
        spec.id,
    )


def _equal(batch: Batch, left: str, right: str) -> str:
    """Return the SQL condition that two rows say the same."""
    parts = [
        f'{left}."{name}" is not distinct from {right}."{name}"'
        for name in (*batch.spec.stored, "extra")
        if name not in (batch.spec.id, "old_value")
    ]
    if "old_value" in batch.spec.stored:
        # An old value left empty was filled in from the sheet when the row came in.
        parts.append(f"({left}.old_value is null or {left}.old_value = {right}.old_value)")
    return "(" + " and ".join(parts) + ")"


def check_corrections(batch: Batch) -> None:
    """Set aside rows that correct a row which is not there, is another athlete's, or was corrected before."""
    spec = batch.spec
    if not batch.one(f"select count(*) from {TYPED} where supersedes is not null and {GOOD}"):
        return
    whose = "athlete" if "athlete" in spec.stored else "null"
    while True:
        before = batch.one(f"select count(*) from {VERDICTS}")
        usable = f"{GOOD} and row_number not in (select row_number from {SAME})"
        batch.run(
            "create or replace temp table targets as "
            f'select "{spec.id}" as id, {whose} as athlete, supersedes, -1 as row_number from {spec.name} union all '
            f'select "{spec.id}", {whose}, supersedes, row_number from {TYPED} where {usable}'
        )
        asking = f"(select *, {whose} as whose from {TYPED} where supersedes is not null and {usable})"
        _say(
            batch,
            (
                f"select t.row_number, 'supersedes', 'supersedes is \"' || t.supersedes || '\": there is no such row "
                f"in {spec.name}', 'Write the id of the row to be corrected and load the file again.' "
                f'from {asking} as t anti join targets as g on t.supersedes = g.id and t."{spec.id}" <> g.id'
            ),
        )
        _say(
            batch,
            (
                "select t.row_number, 'supersedes', 'supersedes is \"' || t.supersedes || '\": that row is another "
                "athlete''s', 'Write the id of the row to be corrected and load the file again.' "
                f"from {asking} as t inner join targets as g on t.supersedes = g.id and t.whose <> g.athlete"
            ),
        )
        _say(
            batch,
            (
                "select t.row_number, 'supersedes', 'supersedes is \"' || t.supersedes || '\": ' || any_value(g.id) || "
                "' corrects that row already', 'Write ' || any_value(g.id) || ' in supersedes and load again.' "
                f"from {asking} as t inner join targets as g "
                "on t.supersedes = g.supersedes and g.row_number < t.row_number group by t.row_number, t.supersedes"
            ),
        )
        if batch.one(f"select count(*) from {VERDICTS}") == before:
            return


def _say(batch: Batch, verdicts: str) -> None:
    """Add verdicts on rows that have none yet."""
    batch.run(
        f"insert into {VERDICTS} select * from ({verdicts}) as v "
        f"where v.row_number not in (select row_number from {VERDICTS})"
    )
