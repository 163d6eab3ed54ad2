-- How a cell is read. Each macro takes the trimmed text of a cell and gives the typed value, or null when the
-- text is not one. They live as long as the connection.

-- An empty cell is null, whatever blanks it holds. Blanks by code: tab, line feed, carriage return, the fixed
-- space, the byte order mark. Most cells have none at either end; to see that first is ten times as fast.
create or replace temp macro bare_cell(typed) as nullif(
    trim(typed, ' ' || chr(9) || chr(10) || chr(13) || chr(160) || chr(65279)), ''
);

create or replace temp macro cell(typed) as case
    when ascii(typed) between 33 and 126 and ascii(typed[-1]) between 33 and 126 then typed
    else bare_cell(typed)
end;

-- A number; with a comma and no point after it, the comma is the decimal sign. NaN and infinity are no numbers.
create or replace temp macro loose_number(typed) as try_cast(
    case
        when not contains(typed, ',') then null
        when instr(reverse(typed), ',') > instr(reverse(typed), '.') and contains(typed, '.')
            then replace(replace(typed, ',', ''), ' ', '')
        else replace(replace(replace(replace(typed, ' ', ''), chr(160), ''), '.', ''), ',', '.')
    end as double
);

create or replace temp macro finite_or_null(number) as case when isfinite(number) then number end;

-- DuckDB reads 1_000 as a number; a person who typed that did not mean one.
create or replace temp macro as_number(typed) as case
    when not contains(typed, '_') then finite_or_null(coalesce(try_cast(typed as double), loose_number(typed)))
end;

-- A whole number. By way of a double, because casting '2.5' to an integer rounds it quietly.
create or replace temp macro whole_or_null(number) as case
    when number = floor(number) and abs(number) < 2e9 then number::integer
end;

create or replace temp macro as_whole(typed) as case
    when try_cast(typed as integer)::varchar = typed then try_cast(typed as integer)
    else whole_or_null(as_number(typed))
end;

create or replace temp macro as_flag(typed) as case lower(typed)
    when '1' then 1
    when '0' then 0
    when 'yes' then 1
    when 'no' then 0
    when 'y' then 1
    when 'n' then 0
    when 'true' then 1
    when 'false' then 0
    when 'x' then 1
    when '1.0' then 1
    when '0.0' then 0
end;

create or replace temp macro as_name(typed) as trim(regexp_replace(lower(typed), '[^\pL\pN]+', '_', 'g'), '_');

create or replace temp macro as_time(typed) as try_cast(
    nullif(regexp_extract(typed, '^(?:\d{4}-\d{2}-\d{2}[T ])?(\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?)$', 1), '')
    as time
);

-- Whether day and month of a date written with slashes or dashes could be read either way round.
create or replace temp macro is_slashed(typed) as regexp_matches(typed, '^\d{1,2}[/-]\d{1,2}[/-](\d{4}|\d{2})([ T].*)?$');

create or replace temp macro slashed_part(typed, place) as try_cast(regexp_extract_all(typed, '\d+')[place] as integer);

create or replace temp macro is_either_way(typed) as (
    is_slashed(typed)
    and slashed_part(typed, 1) <= 12
    and slashed_part(typed, 2) <= 12
    and slashed_part(typed, 1) <> slashed_part(typed, 2)
);

create or replace temp macro full_year(year) as case when year < 100 then year + 2000 else year end;

create or replace temp macro day_of(year, month, day) as try_cast(
    format('{:04d}-{:02d}-{:02d}', full_year(year), month, day) as date
);

-- day_first: true, false, or null where nothing tells; then only a date that can be read one way is read.
create or replace temp macro slashed_date(typed, day_first) as case
    when slashed_part(typed, 1) > 12
        then day_of(slashed_part(typed, 3), slashed_part(typed, 2), slashed_part(typed, 1))
    when slashed_part(typed, 2) > 12 or not day_first
        then day_of(slashed_part(typed, 3), slashed_part(typed, 1), slashed_part(typed, 2))
    when day_first or slashed_part(typed, 1) = slashed_part(typed, 2)
        then day_of(slashed_part(typed, 3), slashed_part(typed, 2), slashed_part(typed, 1))
end;

-- 5 March 2026, Thu 5 Mar 26, March 5, 2026: without the weekday, the comma and the ending of the number.
create or replace temp macro spelled_date(typed) as try_strptime(
    regexp_replace(
        regexp_replace(
            regexp_replace(lower(typed), '^(mon|tue|wed|thu|fri|sat|sun)[a-z]*[ ,.]+', ''),
            '(\d)(st|nd|rd|th)\b', '\1'
        ),
        '[ ,.-]+', ' ', 'g'
    ),
    ['%d %B %y', '%d %b %y', '%B %d %y', '%b %d %y', '%d %B %Y', '%d %b %Y', '%B %d %Y', '%b %d %Y']
)::date;

-- A day number of a spreadsheet, counted from 30 December 1899; between 1954 and 2119 only.
create or replace temp macro serial_date(typed) as case
    when regexp_full_match(typed, '\d{5}(\.\d+)?') and try_cast(typed as double) between 20000 and 80000
        then date '1899-12-30' + floor(try_cast(typed as double))::integer
end;

create or replace temp macro as_date(typed, day_first) as case
    when regexp_matches(typed, '^\d{4}-\d{1,2}-\d{1,2}([ T].*)?$') then try_cast(regexp_extract(typed, '^[0-9-]+') as date)
    when regexp_full_match(typed, '\d{4}[/.]\d{1,2}[/.]\d{1,2}')
        then day_of(slashed_part(typed, 1), slashed_part(typed, 2), slashed_part(typed, 3))
    when regexp_matches(typed, '^\d{1,2}\. ?\d{1,2}\. ?(\d{4}|\d{2})([ T].*)?$')
        then day_of(slashed_part(typed, 3), slashed_part(typed, 2), slashed_part(typed, 1))
    when is_slashed(typed) then slashed_date(typed, day_first)
    when regexp_matches(typed, '[A-Za-z]') then spelled_date(typed)
    else serial_date(typed)
end;

-- Says that the macros are there; asking for one by name would go through every function that DuckDB has.
create or replace temp table macros_defined (is_defined boolean);
