"""Where reports are asked for and read."""

from django.urls import path

from survey.report import notice_views, views

app_name = "report"

urlpatterns = [
    path("walls/<slug:wall>/reports/", views.reports, name="list"),
    path(
        "walls/<slug:wall>/reports/R-<int:number>-v<int:version>.pdf",
        views.issued_pdf,
        name="pdf",
    ),
    path("walls/<slug:wall>/reports/draft-<int:number>.pdf", views.draft_pdf, name="draft"),
    path("walls/<slug:wall>/notices/<uuid:case_id>/", notice_views.notice, name="notice"),
    path(
        "walls/<slug:wall>/notices/N-<int:number>.pdf", notice_views.notice_pdf, name="notice_pdf"
    ),
]
