"""Build the site and serve it on this computer: `python3 scripts/serve.py`. Needs nothing but Python 3.11.

The first time it makes `.venv` and fetches what the site is built with; after that nothing is fetched.
"""

import argparse
import functools
import http.server
import sys
import threading
import webbrowser
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[0] = str(ROOT)
from scripts import environment

HOST, PORT, FIRST_PAGE = "127.0.0.1", 8000, "run/plan/"


class Handler(http.server.SimpleHTTPRequestHandler):
    protocol_version = "HTTP/1.1"  # one connection for many files
    # Named here because a computer's own list may lack them or say otherwise, and a browser refuses a script
    # that is served as something else.
    extensions_map = {
        **http.server.SimpleHTTPRequestHandler.extensions_map,
        ".css": "text/css",
        ".html": "text/html; charset=utf-8",
        ".js": "text/javascript",
        ".json": "application/json",
        ".mjs": "text/javascript",
        ".svg": "image/svg+xml",
        ".wasm": "application/wasm",
        ".woff2": "font/woff2",
        ".zip": "application/zip",
    }

    def end_headers(self):
        # Ask each time (an unchanged file is not sent again): else today's page meets yesterday's calculator.
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def send_error(self, code, message=None, explain=None):
        """Answer an unknown address with the site's own page for it, as a static host does."""
        page = Path(self.directory) / "404.html"
        if code != 404 or not page.exists():
            return super().send_error(code, message, explain)
        body = page.read_bytes()
        self.send_response(404)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def log_message(self, *args):
        pass


class Server(http.server.ThreadingHTTPServer):
    # On Windows, "reuse" would let two servers share one port.
    allow_reuse_address = sys.platform != "win32"
    daemon_threads = True

    def handle_error(self, request, client_address):
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)  # a reader who leaves early is no fault


def open_server(folder, port=0, tries=1, handler=Handler):
    """Return a server of `folder` on the first free of `tries` ports from `port`; port 0 takes any.

    It holds the port at once and answers once its `serve_forever` runs.
    """
    for number in range(port, port + tries):
        try:
            return Server((HOST, number), functools.partial(handler, directory=str(folder)))
        except OSError:
            print(f"Port {number} is taken.")
    raise SystemExit("No free port. Name another: python3 scripts/serve.py --port 9000")


def address(server):
    return f"http://{HOST}:{server.server_port}/"


def in_background(server):
    """Start answering in a thread that ends with the program; return the server."""
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server


def main():
    parser = argparse.ArgumentParser(description="Build the site and serve it on this computer.")
    parser.add_argument("--port", type=int, default=PORT, help="first port to try (%(default)s)")
    parser.add_argument("--no-open", action="store_true", help="do not open a browser")
    choices = parser.parse_args()
    environment.enter("site")
    from scripts import build

    # The port comes first: the site is built for the address at which it will stand.
    server = open_server(ROOT / "site", choices.port, tries=20)
    print("Building the site …")
    build.build(("served",), address(server))
    page = address(server) + FIRST_PAGE
    print(
        f"\nPlan a run: {page}\nThe server answers on this computer only. To end it, press Ctrl and C.",
        flush=True,
    )
    if not choices.no_open:
        threading.Thread(target=webbrowser.open, args=(page,), daemon=True).start()
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        print("\nEnded.")


if __name__ == "__main__":
    main()
