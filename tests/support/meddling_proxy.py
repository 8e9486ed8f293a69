"""How does a test change what comes over the wire, for one tablet and one address?

A reverse proxy on this machine: it hands requests on unchanged, and answers through the rules that
a test sets. Cut off, it closes every connection without an answer, as a network that is gone.
"""

import http.client
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

# Length and connection are said anew; nothing is compressed, so that rules meet plain bytes.
NOT_HANDED_ON = {"connection", "content-length", "transfer-encoding", "accept-encoding"}
LOOPBACK = "127.0.0.1"


class QuietServer(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request, client_address):
        """A tablet whose plug was pulled breaks connections off; that is what tests are for."""


class MeddlingProxy:
    """`rules` maps the start of a path to a function of (status, body) giving the same two."""

    def __init__(self, upstream):
        self.upstream = urlsplit(upstream).netloc
        self.rules = {}
        self.asked = []
        self.cut = False
        self.httpd = QuietServer((LOOPBACK, 0), handler_of(self))
        self.url = f"http://{LOOPBACK}:{self.httpd.server_address[1]}"

    def __enter__(self):
        threading.Thread(target=self.httpd.serve_forever, daemon=True).start()
        return self

    def __exit__(self, *error):
        self.httpd.shutdown()
        self.httpd.server_close()

    def answer(self, path, status, body):
        for start, rule in self.rules.items():
            if path.startswith(start):
                status, body = rule(status, body)
        return status, body


def handler_of(proxy):
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def hand_on(self):
            length = int(self.headers.get("Content-Length") or 0)
            body = self.rfile.read(length) if length else None
            if proxy.cut:
                self.close_connection = True
                return
            proxy.asked.append((self.command, self.path))
            given = {k: v for k, v in self.headers.items() if k.lower() not in NOT_HANDED_ON}
            # The server knows itself by the address, whatever name the tablet reached it by.
            given["Host"] = f"{LOOPBACK}:{self.server.server_address[1]}"
            if body is not None:
                given["Content-Length"] = str(length)
            connection = http.client.HTTPConnection(proxy.upstream, timeout=60)
            try:
                connection.request(self.command, self.path, body=body, headers=given)
                answer = connection.getresponse()
                self.give_back(answer, *proxy.answer(self.path, answer.status, answer.read()))
            except OSError:
                self.close_connection = True
            finally:
                connection.close()

        def give_back(self, answer, status, body):
            self.send_response(status)
            for name, value in answer.getheaders():
                if name.lower() not in NOT_HANDED_ON:
                    self.send_header(name, value)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        do_GET = do_POST = do_PUT = do_HEAD = hand_on

        def log_message(self, *args):
            pass

    return Handler
