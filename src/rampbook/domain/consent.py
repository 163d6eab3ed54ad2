"""What an athlete has agreed to, and who does what."""

from __future__ import annotations

CONSENT_SCOPES: dict[str, str] = {
    "club": "kept and read within the club",
    "pool": "and shared, without identity, with other clubs",
    "none": "not agreed, or withdrawn",
}
ROLES: dict[str, str] = {
    "athlete": "the athlete",
    "coach": "a coach",
    "technician": "whoever keeps the chair",
    "therapist": "a therapist",
    "family": "family or carer",
    "other": "someone else",
}
