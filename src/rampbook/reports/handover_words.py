"""The words of the handover, the same on the page and in the PDF; what a result means comes from evidence alone."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten
from typing import Any

from rampbook.domain.events import EVENTS
from rampbook.evidence.finding import Finding
from rampbook.evidence.harm import go_back, not_proof, what_rose
from rampbook.reports import words
from rampbook.reports.handover import KEPT, Handover, Tried
from rampbook.reports.pages import page_environment

# A page has room for so much of what was typed; the whole of it stands in the store.
LONGEST_NOTE = 150
MOST_PROFILES = 6
FULL_STORY = "rampbook review {} says the rest"


def document(handover: Handover) -> dict[str, Any]:
    """Return everything that the two pages show, as words; lists are whole, and a page cuts what it has no room for."""
    who = handover.athlete
    return {
        "title": f"Handover of {who}, {handover.season}",
        "lead": f"For a new coach or technician. Made {words.day(handover.made_on)} by Rampbook {handover.version}. "
        "Athletes, chairs and staff appear by codes.",
        "chair": _chair_lines(handover),
        "alerts": [f"{what_rose(one)} {go_back(one)}" for one in handover.alerts],
        "not_proof": not_proof(handover.alerts) if handover.alerts else "",
        "not_again": [_not_again(one) for one in handover.not_again],
        "kept": [_entry(one) for one in handover.kept],
        "dropped": [_entry(one) for one in handover.dropped],
        "open": [*map(_open, handover.open_questions), *_unanswered(handover)],
        "sheet": _sheet(handover),
        "events": [_event(row) for row in reversed(handover.events)],
        "people": [
            f"{row['who']}: {row['did']} {words.plural(row['times'], 'time')}, last {words.day(row['last_on'])}"
            for row in handover.people
        ],
        "record": _record(handover),
        "cautions": list(handover.cautions),
        "more": FULL_STORY.format(who),
        "foot": "These pages record what was seen. They are no advice to set a chair in any way, and no finding about "
        "anybody's health.",
    }


def render_handover(handover: Handover) -> str:
    """Return the handover as one self-contained HTML page that prints on two sheets."""
    return page_environment().get_template("handover.html").render(doc=document(handover))


def what(row: dict[str, Any]) -> str:
    """Return a change in words: the setting with its old and new value, and where."""
    values = f"{words.number(row['old_value'])} → {words.number(row['new_value'])}"
    where = f"profile {row['profile']}" + (f" of chair {row['chair']}" if row["chair"] else "")
    return f"{words.setting_name(row['setting'])} {values}, {where}"


def found_words(finding: Finding) -> str:
    """Return a verdict with the strongest sentence that its rung allows; a rung of "noted" has no verdict to give."""
    outcome = words.outcome_name(finding.outcome)
    outcome = outcome[:1].upper() + outcome[1:]
    if finding.rung == "noted":
        return f"{outcome}: noted only. {finding.allowed_sentence}"
    shape = words.VERDICT_SHAPES.get(finding.verdict, "○")
    return f"{outcome}: {shape} {finding.verdict} ({finding.rung}). {finding.allowed_sentence}"


def _event(row: dict[str, Any]) -> str:
    said = f"{words.day(row['on'])}: {EVENTS.get(row['event'], row['event'])}"
    return f"{said} ({_note(row['note'])})" if row["note"] else said


def _entry(one: Tried) -> dict[str, Any]:
    """Return one tried change: what, when and by whom, why, what was found, and what became of it."""
    row = one.row
    plan = {1: ", planned", 0: ", reacting"}.get(row["planned"], "")
    lines = [found_words(found) for found in one.shown] or ["Nothing was measured that could be compared."]
    bundle = f", one of bundle {row['bundle']}" if row["bundle"] else ""
    return {
        "head": f"{what(row)} ({one.change}{bundle})",
        "when": f"{words.day(row['on'])}, {row['role'] or 'by whom is not written down'}{plan}. "
        f"Why: {_note(row['reason']) or 'not written down'}.",
        "found": lines,
        "beside": _beside(one),
        "fate": _fate_words(one),
    }


def _beside(one: Tried) -> str:
    """Name every other outcome that was looked at, with its verdict and rung."""
    named: dict[str, list[str]] = {}
    for found in one.beside:
        named.setdefault(_verdict(found), []).append(words.outcome_name(found.outcome))
    said = [f"{verdict}: {', '.join(outcomes)}" for verdict, outcomes in named.items()]
    return f"Also looked at, {'; '.join(said)}." if said else ""


def _verdict(finding: Finding) -> str:
    return "noted only" if finding.rung == "noted" else f"{finding.verdict} ({finding.rung})"


def _fate_words(one: Tried) -> str:
    if one.fate == KEPT:
        return ""
    if one.back is not None:
        why = "as planned" if one.back["planned"] == 1 else f"why: {_note(one.back['reason']) or 'not written down'}"
        return f"Taken back {words.day(one.back['on'])}, {why}."
    return f"{one.fate[0].upper()}{one.fate[1:]}."


def _not_again(one: Tried) -> str:
    """Return one thing not to do again, with all that speaks against it."""
    said = [what_rose(alert) for alert in one.alerts]
    said += [found_words(found) for found in one.worse]
    if one.back is not None:
        said.append(_fate_words(one))
    return f"{what(one.row)} ({one.change}, {words.day(one.row['on'])}). {' '.join(said)}"


def _open(one: Tried) -> str:
    """Return one open question: the sentence itself stands with the change."""
    head = f"{what(one.row)} ({one.change}): "
    if not one.findings:
        return head + "nothing was measured that could be compared."
    finding = one.findings[0]
    more = finding.practices_to_settle
    if more:
        return head + f"about {words.plural(more, 'more practice')} might settle it, if all else stays as it is."
    return head + f"whether it helped ({words.outcome_name(finding.outcome)}) cannot be told from this record."


def _unanswered(handover: Handover) -> list[str]:
    silent = [one.change for one in handover.tried if not one.row["reason"]]
    out = []
    if silent:
        out.append(f"Why these were changed is not written down: {_some(silent)}. Ask who was there.")
    if handover.not_measured:
        out.append(f"Not measured on the chair as it is now: {', '.join(handover.not_measured)}.")
    if handover.chair is not None and handover.chair.scale is None:
        out.append("What the numbers of the chair's scale mean is not written down.")
    return out


def _some(names: Sequence[str]) -> str:
    return ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")


def _chair_lines(handover: Handover) -> list[str]:
    chair = handover.chair
    if chair is None:
        return ["Which chair is driven now is not on record."]
    since = f"{'since' if chair.since else 'on record since'} {words.day(chair.starts)}"
    scale = _note(chair.scale_definition) or chair.scale or "not written down"
    lines = [f"Chair {chair.name}, {since}. Scale: {scale}."]
    earlier = [one for one in handover.chairs if one.starts and chair.starts and one.starts < chair.starts]
    # Goals are the athlete's and carry over; numbers do not.
    goals = next((one.goals for one in (chair, *reversed(earlier)) if one.goals), None)
    lines.append(f"Goals: {_note(goals) or 'not written down; ask the athlete'}.")
    if earlier:
        named = ", ".join(one.name for one in earlier)
        lines.append(f"Before: chair {named}. What was found there, and its numbers, say nothing of this chair.")
    lines += [f"A new baseline starts on {words.day(line.on)}: {line.why}." for line in handover.new_baselines[-2:]]
    return lines


def _sheet(handover: Handover) -> dict[str, Any]:
    """Return the sheet as it stands: a row a setting, a column a profile."""
    profiles = sorted({row["profile"] for row in handover.sheet})
    values = {(row["setting"], row["profile"]): row for row in handover.sheet}
    names = list(dict.fromkeys(row["setting"] for row in handover.sheet))
    return {
        "profiles": [f"Profile {number}" for number in profiles[:MOST_PROFILES]],
        "rows": [
            [words.setting_name(name), *(_value(values.get((name, number))) for number in profiles[:MOST_PROFILES])]
            for name in names
        ],
        "more": f"{words.plural(len(profiles) - MOST_PROFILES, 'more profile')}: rampbook settings {handover.athlete}"
        if len(profiles) > MOST_PROFILES else "",
    }  # fmt: skip


def _value(row: dict[str, Any] | None) -> str:
    if row is None:
        return "–"
    return words.number(row["value"]) + (" *" if row["change"] else "")


def _record(handover: Handover) -> list[str]:
    held = handover.completeness
    if held is None:
        return ["No practice is recorded in this time."]
    n = held["practices"]
    lines = [
        f"{words.plural(n, 'practice')} from {words.day(held['first_on'])} to {words.day(held['last_on'])}; "
        f"something was measured in {held['with_outcome']}, drills timed in {held['with_attempts']}, "
        f"collisions counted in {held['with_collisions']}, ratings given in {held['with_ratings']}, "
        f"battery noted in {held['with_battery']}."
    ]
    if handover.n_set_aside:
        lines.append(f"{words.plural(handover.n_set_aside, 'row')} of the files could not be used and stand aside.")
    return lines


def _note(text: str | None) -> str:
    """Return what somebody typed, at most so long."""
    return shorten(text, LONGEST_NOTE, placeholder=" …").rstrip(".") if text else ""
