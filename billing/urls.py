"""The addresses of billing."""

from django.urls import URLPattern, URLResolver, path

from billing.views import accounts, invoices, overview, setting_up

app_name = "billing"
urlpatterns: list[URLPattern | URLResolver] = [
    path("money/", overview.money, name="money"),
    path("money/draft/", overview.month_draft, name="month_draft"),
    path("money/issue/", overview.month_issue, name="month_issue"),
    path("money/issued/<int:year>/", overview.issued_list, name="issued_list"),
    path("money/families/", overview.family_balances, name="family_balances"),
    path("money/rates/", setting_up.rate_list, name="rate_list"),
    path("money/rates/new/", setting_up.rate_create, name="rate_create"),
    path("money/rates/<int:pk>/edit/", setting_up.rate_edit, name="rate_edit"),
    path("money/settings/", setting_up.settings_edit, name="settings_edit"),
    path("money/families/<int:pk>/", accounts.account, name="account"),
    path("money/families/<int:pk>/draft/", accounts.invoice_draft, name="invoice_draft"),
    path("money/families/<int:pk>/payments/new/", accounts.payment_create, name="payment_create"),
    path("money/payments/<int:pk>/reverse/", accounts.payment_reverse, name="payment_reverse"),
    path("money/invoices/<int:pk>/", invoices.invoice_detail, name="invoice_detail"),
    path("money/invoices/<int:pk>/pdf/", invoices.invoice_pdf, name="invoice_pdf"),
    path("money/invoices/<int:pk>/lines/new/", invoices.line_create, name="line_create"),
    path("money/lines/<int:pk>/remove/", invoices.line_remove, name="line_remove"),
    path("money/invoices/<int:pk>/note/", invoices.note_edit, name="note_edit"),
    path("money/invoices/<int:pk>/redraft/", invoices.redraft, name="redraft"),
    path("money/invoices/<int:pk>/issue/", invoices.issue, name="issue"),
    path("money/invoices/<int:pk>/send/", invoices.send, name="send"),
    path("money/invoices/<int:pk>/delete/", invoices.draft_delete, name="draft_delete"),
    path("money/invoices/<int:pk>/credit/", invoices.credit_create, name="credit_create"),
]
