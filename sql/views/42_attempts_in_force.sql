-- One row per attempt that no later row corrects, with its day and the settings then in force in its profile.
-- settings is a map from setting to value; for an athlete with several chairs, of the chair last touched by then.
create or replace view attempts_in_force as
with chosen as (
    select
        settings_at_practice.practice,
        settings_at_practice.profile,
        arg_max(settings_at_practice.settings, settings_at_practice.last_touched) as settings,
        arg_max(settings_at_practice.chair, settings_at_practice.last_touched) as chair
    from settings_at_practice
    group by settings_at_practice.practice, settings_at_practice.profile
)

select
    attempts_now.attempt,
    attempts_now.practice,
    attempts_now.athlete,
    practices_now."on",
    attempts_now.profile,
    attempts_now.drill,
    attempts_now.layout,
    attempts_now.seconds,
    attempts_now.finished,
    attempts_now.limit_s,
    attempts_now.touches,
    attempts_now.timer,
    chosen.chair,
    chosen.settings
from attempts_now
left join practices_now on attempts_now.practice = practices_now.practice
left join chosen on attempts_now.practice = chosen.practice and attempts_now.profile = chosen.profile;
