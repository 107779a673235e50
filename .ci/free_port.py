"""Prints a port to listen on. Usage: free_port.py [PORT | any]

A port that was asked for must be free. Unasked, the first free one from 8000 is taken; ``any`` leaves the
choice to the system.
"""

import socket
import sys

USUAL = range(8000, 8050)


def is_free(port: int) -> bool:
    """Whether this machine lets a server listen on the port; a listener on any of its addresses forbids it."""
    with socket.socket() as listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind(("127.0.0.1", port))
            listener.listen()
        except OSError:
            return False
    return True


def choose(asked: str) -> int:
    """The port to use, or an exit with a sentence that says what to do."""
    if asked == "any":
        with socket.socket() as listener:
            listener.bind(("127.0.0.1", 0))
            return listener.getsockname()[1]
    if asked:
        if not asked.isascii() or not asked.isdigit() or not 1 <= int(asked) <= 65535:
            sys.exit(f'PORT must be a number from 1 to 65535, not "{asked}".')
        if not is_free(int(asked)):
            sys.exit(f"Port {asked} is busy. Choose another, or leave PORT unset to take a free one.")
        return int(asked)
    for port in USUAL:
        if is_free(port):
            return port
    sys.exit(f"Ports {USUAL[0]} to {USUAL[-1]} are all busy. Choose one yourself: PORT=9000 make run")


if __name__ == "__main__":
    sys.stdout.write(f"{choose(sys.argv[1] if len(sys.argv) > 1 else '')}\n")
