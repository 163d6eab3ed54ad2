-- One row per row of settings that no later row corrects.
create or replace view settings_now as
with corrected as (
    select settings.supersedes as entry
    from settings
    where settings.supersedes is not null
)

select
    settings.entry,
    settings.athlete,
    settings.chair,
    settings.profile,
    settings.setting,
    settings.value,
    settings."on",
    settings.supersedes,
    settings.extra,
    settings.logged_at
from settings
anti join corrected on settings.entry = corrected.entry;
