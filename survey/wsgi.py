"""The door for a web server: refuses to open while a guard of the logbook is missing."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "survey.settings")

from django.core.wsgi import get_wsgi_application

application = get_wsgi_application()

from survey.ledger.triggers import refuse_start_without_guards  # noqa: E402  needs the apps loaded

refuse_start_without_guards()
