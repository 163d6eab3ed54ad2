"""What is said of how often one looked."""

from __future__ import annotations

from rampbook.evidence.finding import Finding, Warned


def look_words(finding: Finding) -> str | None:
    """Say for how many looks the interval holds; None where there is no interval."""
    if finding.low is None:
        return None
    looks = finding.method.get("looks")
    if looks is None:
        return (
            "The interval holds for one look, at the end. To look again after every practice, declare the end with "
            "--until."
        )
    return f"The interval allows for looking after every practice up to {looks['declared']} with the new setting."


def beyond(until: int | None, n_after: int) -> tuple[Warned, ...]:
    """Warn of practices held beyond the declared end."""
    if until is None or n_after <= until:
        return ()
    message = (
        f"Looking was to end at {until} practices with the new setting, and {n_after} were held. That departs from the "
        "plan; the interval is widened as for the declared end, and later looks are not allowed for."
    )
    return (Warned(code="beyond_declared_end", message=message),)
