"""What keeps a household from weeks and packets, in the reader's language."""

from django.utils.translation import gettext as _

from clients.domain.blocks import Block
from clients.wording.screening import caution_words


def block_words(block: Block, emergency_number: str) -> str:
    """One block as a sentence that says what to do. Raises KeyError for a code that has no words."""
    if block.code == "not-set-up":
        return _("The practice is not set up yet: confirm the local rules and what clients agree to.")
    if block.code == "no-consent":
        return _("The client has not agreed yet: record their agreement.")
    return {
        "clinician-first": _("%(eater)s: “%(title)s” waits for a clinician’s agreement."),
        "do-not-start": _("%(eater)s: “%(title)s” means do not start."),
    }[block.code] % {
        "eater": block.eater,
        "title": caution_words(block.rule, block.facts, emergency_number).title,
    }


def client_block_words(block: Block, emergency_number: str) -> str:
    """One block as the client reads it: what is the coach's own to settle is not explained further."""
    if not block.caution:
        return _("Your coach still has something to settle with you first. Ask them when you can begin.")
    return block_words(block, emergency_number)
