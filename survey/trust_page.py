"""Where does a tablet take this machine's certificate authority from, and what does it do with it?

A page over plain HTTP, because a tablet cannot use the encrypted pages before it trusts them. It
serves two things and nothing of the record: the steps, and the authority's public certificate.
"""

import argparse
import html
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization

CERTIFICATE_PATH = "/pontata-authority.crt"
PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Trust this machine · Pontata</title>
<style>
body {{ font: 18px/1.5 "DejaVu Sans", sans-serif; background: #FAF7F1; color: #211C17;
  max-width: 44rem; margin: 0 auto; padding: 24px; }}
a.take {{ display: inline-block; padding: 20px 28px; background: #9A3B20; color: #FFFFFF;
  border-radius: 3px; text-decoration: none; }}
code {{ overflow-wrap: anywhere; background: #FFFFFF; border: 1px solid #8C8172;
  padding: 2px 6px; }}
dt {{ font-weight: 700; margin-top: 16px; }} dd {{ margin: 4px 0 0 0; }}
</style></head><body>
<h1>Let this tablet trust the survey's machine</h1>
<p>A tablet keeps the deck page for use without a network only when it trusts where the page came
from. This is done once for each tablet.</p>
<ol>
<li><p><a class="take" href="{path}">Take the certificate</a></p></li>
<li><p>Compare its SHA-256 fingerprint with the one in the window where the program was started:<br>
<code>{fingerprint}</code></p>
<p>When the two differ, stop: somebody stands between.</p></li>
<li><p>Trust it, as the tablet asks for it:</p>
<dl>
<dt>iPadOS</dt><dd>Settings, General, VPN &amp; Device Management: install the profile. Then
Settings, General, About, Certificate Trust Settings: switch it on.</dd>
<dt>Android</dt><dd>Settings, Security, Encryption &amp; credentials, Install a certificate, CA
certificate: choose the file. (Names differ a little from maker to maker.)</dd>
<dt>Windows</dt><dd>Open the file, Install certificate, Current user, and place it under Trusted
root certification authorities.</dd>
<dt>ChromeOS and Linux</dt><dd>In the browser's settings, Security, Manage certificates,
Authorities: import, for web sites.</dd>
</dl></li>
<li><p>Open <a href="https://{host}:{port}/deck/">https://{host}:{port}/deck/</a> and add it to the
home screen.</p></li>
</ol>
<p>This certificate can vouch for names and addresses of the local network only. Take it off the
tablet when the survey is over.</p>
</body></html>
"""


class TrustPage(BaseHTTPRequestHandler):
    """Answers with the steps or the certificate."""

    server_version = "Pontata"
    sys_version = ""

    def __init__(self, authority: x509.Certificate, pages_port: int, *arguments: object) -> None:
        self.authority = authority
        self.pages_port = pages_port
        super().__init__(*arguments)  # type: ignore[arg-type]  # socket, address, server

    def do_GET(self) -> None:
        if self.path == CERTIFICATE_PATH:
            der = self.authority.public_bytes(serialization.Encoding.DER)
            self.answer(200, "application/x-x509-ca-cert", der)
        elif self.path == "/":
            self.answer(200, "text/html; charset=utf-8", self.page())
        else:
            self.answer(404, "text/plain; charset=utf-8", b"Only the page / is served here.\n")

    def page(self) -> bytes:
        host = self.headers.get("Host", "localhost").rsplit(":", 1)[0]
        fingerprint = self.authority.fingerprint(hashes.SHA256()).hex(":").upper()
        page = PAGE.format(
            path=CERTIFICATE_PATH,
            fingerprint=fingerprint,
            host=html.escape(host, quote=True),
            port=self.pages_port,
        )
        return page.encode()

    def answer(self, status: int, kind: str, body: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *arguments: object) -> None:
        """Say nothing of every call."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--host", required=True)
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--pages-port", type=int, required=True)
    parser.add_argument("--authority", type=Path, required=True)
    options = parser.parse_args()
    authority = x509.load_pem_x509_certificate(options.authority.read_bytes())
    handler = partial(TrustPage, authority, options.pages_port)
    ThreadingHTTPServer((options.host, options.port), handler).serve_forever()


if __name__ == "__main__":
    main()
