"""One event, one line: control characters are escaped so a path or a name cannot forge a second one."""

import logging

from coaching.web.middleware import request_id


class LineFormatter(logging.Formatter):
    """``time level logger [request id] message``, on one line unless there is a traceback."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s [%(request_id)s] %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        record.request_id = request_id.get()
        return super().format(record)

    def formatMessage(self, record: logging.LogRecord) -> str:
        record.message = "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in record.message)
        return super().formatMessage(record)
