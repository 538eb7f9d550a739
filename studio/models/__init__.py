"""The studio's own rows: its people, its places, its mail, its record of what was done."""

from studio.models.accounts import Role, User
from studio.models.events import Event
from studio.models.long_work import LongWork, WorkState
from studio.models.outbox import MailStatus, OutgoingAttachment, OutgoingEmail
from studio.models.people import Adult, Family, School, Student
from studio.models.places import Place, PlaceKind
from studio.models.studio import Paper, Studio

__all__ = [
    "Adult",
    "Event",
    "Family",
    "LongWork",
    "MailStatus",
    "OutgoingAttachment",
    "OutgoingEmail",
    "Paper",
    "Place",
    "PlaceKind",
    "Role",
    "School",
    "Student",
    "Studio",
    "User",
    "WorkState",
]
