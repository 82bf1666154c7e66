"""What does a file say about itself when it is served?"""

from wsgiref.headers import Headers

# A worker obeys its own file's policy and not its page's (HTML Standard, "initialize a
# worker global scope's policy container").  This one compiles the reader of symbols,
# which no page may, and it may ask nobody but this server for it.
CAMERA_WORKER = "/kit/camera_worker."
WORKER_POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"
)


def add(headers: Headers, path: str, url: str) -> None:
    """Add to what WhiteNoise says of a file; named in the settings."""
    if CAMERA_WORKER in url:
        headers["Content-Security-Policy"] = WORKER_POLICY
