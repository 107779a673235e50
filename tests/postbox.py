"""A real mail server in a thread, for tests that want to see what arrives and to make delivery go wrong."""

import asyncio
import socket
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

DROP = "drop"
"""As a reply: take the message, then hang up without a word, so that the sender cannot know."""


class Postbox:
    """Keeps every message it accepted. Set ``reply_to_rcpt`` or ``reply_to_data`` to make the next ones go wrong."""

    def __init__(self) -> None:
        self.port = free_port()
        self.messages: list[EmailMessage] = []
        self.raw: list[bytes] = []
        self.reply_to_rcpt = ""
        self.reply_to_data = ""
        self.delay_seconds = 0.0

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options
    ) -> str:
        if self.reply_to_rcpt:
            return self.reply_to_rcpt
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        await asyncio.sleep(self.delay_seconds)
        if self.reply_to_data and self.reply_to_data != DROP:
            return self.reply_to_data
        self.raw.append(envelope.original_content or b"")
        self.messages.append(message_from_bytes(self.raw[-1], policy=policy.default))
        if self.reply_to_data == DROP:
            server.transport.abort()
        return "250 OK"

    @property
    def ids(self) -> Counter[str]:
        """How often each Message-ID arrived."""
        return Counter(message["Message-ID"] for message in self.messages)


def free_port() -> int:
    """A port nothing listens on at this moment."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


@contextmanager
def open_postbox() -> Iterator[Postbox]:
    """A postbox that takes mail for as long as the block lasts."""
    postbox = Postbox()
    controller = Controller(postbox, hostname="127.0.0.1", port=postbox.port)
    controller.start()
    try:
        yield postbox
    finally:
        controller.stop()


def parts(message: EmailMessage) -> tuple[str, str]:
    """The plain and the marked-up half of a message, decoded."""
    text = message.get_body(("plain",))
    html = message.get_body(("html",))
    return text.get_content(), html.get_content()
