"""The parts of a printed invoice, from top to bottom."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from itertools import groupby
from xml.sax.saxutils import escape

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Paragraph, Spacer, Table, TableStyle

from billing.charging.numbering import grouped
from billing.document import DocumentLine, InvoiceDocument, Party
from billing.localised import day_text, money_text, month_text
from billing.pay_code import PayCode, pay_code
from billing.pdf_style import ACCENT, INK, LINE, style
from studio.pdf_fonts import SANS

_TIGHT = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]
_DAY_WIDTH = 25 * mm
_MONEY_WIDTH = 31 * mm
_CODE_SIDE = 36 * mm
_SIDE = 66 * mm
_MOST_WIDE = 20  # lines that stand wide apart; more stand closer, to save a page


def story(document: InvoiceDocument, width: float) -> list[Flowable]:
    """Return the whole document as flowables for a frame of this width."""
    parts: list[Flowable] = [
        _head(document, width),
        Spacer(0, 9 * mm),
        _who_and_when(document, width),
        Spacer(0, 7 * mm),
    ]
    if document.note:
        parts += [_text(document.note), Spacer(0, 4 * mm)]
    parts += [_line_table(document, width), Spacer(0, 2 * mm)]
    closing: list[Flowable] = [_foot_table(document, width), Spacer(0, 6 * mm)]
    closing += _how_to_pay(document, width)
    if document.closing_words:
        closing += [Spacer(0, 4 * mm), _text(document.closing_words)]
    parts.append(KeepTogether(closing))
    return parts


def _text(words: str, name: str = "text") -> Paragraph:
    return Paragraph(escape(words), style(name))


def _money(document: InvoiceDocument, amount: Decimal, name: str = "right") -> Paragraph:
    return _text(money_text(amount, document.currency, document.locale), name)


def _day(document: InvoiceDocument, day: date | None) -> str:
    return day_text(day, document.locale) if day else ""


def _head(document: InvoiceDocument, width: float) -> Table:
    seller = document.seller
    name = [_text(document.studio_name, "studio")]
    if seller.name != document.studio_name:
        name.append(_text(seller.name))
    address = [_text(line, "small") for line in (*seller.lines, *seller.more)]
    table = Table([[name, address or ""]], colWidths=[width - _SIDE, _SIDE])
    table.setStyle(
        TableStyle(
            [
                *_TIGHT,
                ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
                ("LINEBELOW", (0, 0), (-1, -1), 0.9, ACCENT, 0, None, None, 2, 2),
            ]
        )
    )
    return table


def _who_and_when(document: InvoiceDocument, width: float) -> Table:
    month = month_text(document.period_start, document.locale)
    facts: list[tuple[str, str]] = [("For lessons in", month)]
    if document.credits_number:
        facts = [("Takes back, from invoice", document.credits_number)]
    if document.issue_date:
        facts.append(("Date", _day(document, document.issue_date)))
    if document.due_date and not document.is_credit_note:
        facts.append(("Please pay by", _day(document, document.due_date)))
    rows = [[_text(label, "label"), _text(value)] for label, value in facts]
    right = Table(rows, colWidths=[34 * mm, _SIDE - 34 * mm])
    right.setStyle(TableStyle([*_TIGHT, ("BOTTOMPADDING", (0, 0), (-1, -1), 2)]))
    left = [_text(document.title, "title"), Spacer(0, 3 * mm), *_address(document.buyer)]
    table = Table([[left, right]], colWidths=[width - _SIDE, _SIDE])
    table.setStyle(TableStyle([*_TIGHT, ("TOPPADDING", (1, 0), (1, 0), 9)]))
    return table


def _address(party: Party) -> Iterable[Paragraph]:
    yield _text(party.name, "strong")
    for line in (*party.lines, *party.more):
        yield _text(line)


def _groups(lines: Sequence[DocumentLine]) -> Iterable[tuple[str, list[DocumentLine]]]:
    """Give the lines by student, in order of first appearance, then what belongs to nobody."""
    names = {line.who: place for place, line in reversed(list(enumerate(lines))) if line.who}
    ranked = sorted(
        enumerate(lines), key=lambda pair: (not pair[1].who, names.get(pair[1].who, 0), pair[0])
    )
    for who, group in groupby((line for _, line in ranked), key=lambda line: line.who):
        yield who, list(group)


def _line_table(document: InvoiceDocument, width: float) -> Table:
    rows: list[list[Flowable | str]] = [
        [_text("Date", "label"), _text("What", "label"), _text("Amount", "label")]
    ]
    gap = 2.8 if len(document.lines) <= _MOST_WIDE else 1.3
    looks: list[tuple[object, ...]] = [
        *_TIGHT,
        ("TOPPADDING", (0, 0), (-1, -1), gap),
        ("BOTTOMPADDING", (0, 0), (-1, -1), gap),
        ("LINEBELOW", (0, 0), (-1, 0), 0.7, INK),
        ("ALIGN", (2, 0), (2, -1), "RIGHT"),
        ("FONT", (0, 1), (-1, -1), SANS, 9, 12.2),
        ("TEXTCOLOR", (0, 1), (-1, -1), INK),
    ]
    rows[0][2] = Paragraph("Amount", style("code_words"))
    has_names = any(line.who for line in document.lines)
    for who, lines in _groups(document.lines):
        if has_names:
            at = len(rows)
            rows.append([_text(who or "Travel and other", "who"), "", ""])
            looks += [("SPAN", (0, at), (-1, at)), ("TOPPADDING", (0, at), (-1, at), 7)]
        for line in lines:
            at = len(rows)
            rows.append(_line_row(document, line))
            looks.append(("LINEBELOW", (0, at), (-1, at), 0.35, LINE))
    table = Table(
        rows,
        colWidths=[_DAY_WIDTH, width - _DAY_WIDTH - _MONEY_WIDTH, _MONEY_WIDTH],
        repeatRows=1,
    )
    table.setStyle(TableStyle(looks))
    return table


def _line_row(document: InvoiceDocument, line: DocumentLine) -> list[Flowable | str]:
    words: list[Flowable] = [_text(line.words)]
    if line.reason:
        words.append(_text(line.reason, "small"))
    amount = money_text(line.net, document.currency, document.locale)
    return [_day(document, line.on), words, amount]


def _foot_table(document: InvoiceDocument, width: float) -> Table:
    rows: list[list[Paragraph]] = []
    has_tax = any(part.percent for part in document.tax_lines)
    if has_tax:
        rows.append([_text("Before tax"), _money(document, document.net)])
    for part in document.tax_lines:
        if part.percent:
            words = f"Tax {part.percent.normalize():f} % on "
            words += money_text(part.taxable, document.currency, document.locale)
            rows.append([_text(words), _money(document, part.amount)])
        elif part.reason:
            rows.append([_text(part.reason, "small"), _text("")])
    is_last = not (document.paid or document.is_credit_note)
    total = "To pay" if is_last else "Taken back" if document.is_credit_note else "Total"
    name = "text" if document.paid and not document.is_credit_note else "total"
    amount_style = "right" if name == "text" else "total_right"
    rows.append([_text(total, name), _money(document, document.gross, amount_style)])
    if document.paid and not document.is_credit_note:
        rows.append([_text("Paid from what was on your account"), _money(document, -document.paid)])
        rows.append([_text("To pay", "total"), _money(document, document.due, "total_right")])
    table = Table(
        rows, colWidths=[width - 88 * mm - _MONEY_WIDTH + 52 * mm, _MONEY_WIDTH + 10 * mm]
    )
    table.hAlign = "RIGHT"
    table.setStyle(
        TableStyle(
            [
                *_TIGHT,
                ("TOPPADDING", (0, 0), (-1, -1), 2.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
                ("LINEABOVE", (0, -1), (-1, -1), 0.7, INK),
                ("LINEBELOW", (0, -1), (-1, -1), 0.7, INK, 0, None, None, 2, 2),
            ]
        )
    )
    return table


def _how_to_pay(document: InvoiceDocument, width: float) -> list[Flowable]:
    """Return the slip at the foot, which can be cut off and kept by whoever pays."""
    if document.is_credit_note:
        words = (
            "Nothing to pay: this lessens what you owe. What is left over stays on your account."
        )
        return [_text(words)]
    if document.due <= 0:
        return [_text("Nothing to pay: it is settled from what was on your account.")]
    advice = (
        "by bank transfer, with the reference" if document.pay.iban else "in cash, or as agreed"
    )
    left = [
        _text(f"How to pay: {advice}", "slip"),
        Spacer(0, 2 * mm),
        _pay_facts(document, width - _CODE_SIDE - 14 * mm),
    ]
    slip = Table(
        [[left, _scan(document)]], colWidths=[width - _CODE_SIDE - 8 * mm, _CODE_SIDE + 8 * mm]
    )
    slip.setStyle(
        TableStyle(
            [
                *_TIGHT,
                ("BOX", (0, 0), (-1, -1), 0.6, INK),
                ("LEFTPADDING", (0, 0), (0, 0), 9),
                ("RIGHTPADDING", (1, 0), (1, 0), 6),
                ("TOPPADDING", (0, 0), (-1, -1), 7),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
                ("ALIGN", (1, 0), (1, 0), "RIGHT"),
            ]
        )
    )
    return [slip]


def _pay_facts(document: InvoiceDocument, width: float) -> Table:
    pay = document.pay
    facts = [("Amount", money_text(document.due, document.currency, document.locale))]
    if document.due_date:
        facts.append(("By", _day(document, document.due_date)))
    if pay.iban:
        facts += [("To", pay.name), ("IBAN", grouped(pay.iban))]
        if pay.bic:
            facts.append(("BIC", pay.bic))
    if pay.reference:
        facts.append(("Reference", grouped(pay.reference)))
    rows = [[_text(label, "label"), _text(value)] for label, value in facts]
    table = Table(rows, colWidths=[20 * mm, width - 20 * mm])
    table.setStyle(TableStyle([*_TIGHT, ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5)]))
    return table


def _scan(document: InvoiceDocument) -> list[Flowable]:
    """Return the square code with its caption, or nothing where no app could read it."""
    code = pay_code(document)
    if code is None:
        return []
    return [PayCode(code, _CODE_SIDE), _text("Scan with your banking app", "code_words")]
