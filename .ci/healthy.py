"""Leaves with 0 if this container's web server and the database behind it answer, asked as the proxy in front asks."""

import http.client
import os
import sys

server = http.client.HTTPConnection("127.0.0.1", 8000, timeout=5)
host = os.environ.get("ALLOWED_HOSTS", "localhost").partition(",")[0]
server.request("GET", "/alive/", headers={"Host": host, "X-Forwarded-Proto": "https"})
answer = server.getresponse()
sys.exit(None if answer.status == http.HTTPStatus.OK else f"the sign of life answered {answer.status}")
