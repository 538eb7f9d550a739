"""What changes money's rows. Every service locks the family's account before it reads it."""

from billing.services.accounts import account_lock
from billing.services.crediting import TooMuchTakenBack, credit_note_issue
from billing.services.drafting import (
    AlreadyIssued,
    draft_delete,
    invoice_draft,
    line_add,
    line_remove,
    month_draft,
    note_change,
)
from billing.services.issuing import (
    CannotIssue,
    DraftOutOfDate,
    LessonsWithoutRate,
    invoice_issue,
    month_issue,
)
from billing.services.paying import (
    AlreadyReversed,
    NotThatMuchCredit,
    payment_record,
    payment_refund,
    payment_reverse,
)
from billing.services.sending import NobodyToSendTo, invoice_send

__all__ = [
    "AlreadyIssued",
    "AlreadyReversed",
    "CannotIssue",
    "DraftOutOfDate",
    "LessonsWithoutRate",
    "NobodyToSendTo",
    "NotThatMuchCredit",
    "TooMuchTakenBack",
    "account_lock",
    "credit_note_issue",
    "draft_delete",
    "invoice_draft",
    "invoice_issue",
    "invoice_send",
    "line_add",
    "line_remove",
    "month_draft",
    "month_issue",
    "note_change",
    "payment_record",
    "payment_refund",
    "payment_reverse",
]
