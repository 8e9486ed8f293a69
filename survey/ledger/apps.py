"""Names this room to Django and keeps the guards in step with the tables."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class LedgerConfig(AppConfig):
    name = "survey.ledger"
    label = "ledger"

    def ready(self) -> None:
        from survey.ledger import triggers

        pre_migrate.connect(triggers.before_migrate, dispatch_uid="guards-off")
        post_migrate.connect(triggers.after_migrate, dispatch_uid="guards-on")
