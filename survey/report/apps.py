"""Names this room to Django and makes its kind of background work known."""

from django.apps import AppConfig


class ReportConfig(AppConfig):
    name = "survey.report"
    label = "report"

    def ready(self) -> None:
        from survey.jobs.services import register
        from survey.report.services import JOB_KIND, run_report

        register(JOB_KIND, run_report)
