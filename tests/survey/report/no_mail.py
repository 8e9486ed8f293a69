"""A mail server that takes nothing."""

import smtplib

from django.core.mail.backends.base import BaseEmailBackend


class NoMail(BaseEmailBackend):
    """Refuses every message."""

    def send_messages(self, email_messages):
        raise smtplib.SMTPServerDisconnected("connection lost")
