"""``manage.py import_protocol FILE``: publish a protocol, or its next version."""

from typing import Any

from plans.management.filing import ImportCommand
from plans.services.protocols import protocol_import
from plans.views.wording import filed_protocol_words


class Command(ImportCommand):
    help = "Publish the protocol of a file as a new version, unless nothing changed."

    @staticmethod
    def file(**kwargs: Any) -> str:
        """A protocol: which version it became."""
        return filed_protocol_words(protocol_import(**kwargs))
