"""How long may browsers trust the certificate at the shop's own address?"""

import socket
import ssl
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit

# So long before its end a certificate is told of: time enough to get another.
NOTICE = timedelta(days=30)
PATIENCE_S = 2.0
# OpenSSL's X509_V_FLAG_NO_CHECK_TIME (x509_vfy.h), for which Python has no name: how
# an outdated certificate tells when it ended.
NO_CHECK_TIME = 0x200000


@dataclass(frozen=True, slots=True)
class Certificate:
    """What the shop's address shows to browsers.

    ``ends_at`` is the last moment at which they take it; None where nobody answered
    with one, and then ``fault`` says why.
    """

    host: str
    ends_at: datetime | None
    fault: str = ""

    def days_left(self, at: datetime) -> int:
        """Give the whole days that are left; less than 0 once it has run out."""
        return (self.ends_at - at).days if self.ends_at else 0

    def is_short(self, at: datetime) -> bool:
        """Say whether it is time to get another."""
        return self.ends_at is None or self.ends_at - at < NOTICE


def find_certificate(*, origin: str) -> Certificate | None:
    """Ask the shop's own address for its certificate.

    Whether browsers trust who signed it is theirs to say; here it counts as its own
    authority, so that one made in the house is read as well.

    Parameters
    ----------
    origin : str
        Where the tablets find the shop, such as ``https://shop.lan``.

    Returns
    -------
    Certificate or None
        None at a plain http address, which shows none.
    """
    address = urlsplit(origin.lower())
    if address.scheme != "https" or not address.hostname:
        return None
    host, port = address.hostname, address.port or 443
    try:
        return Certificate(host, _end_of(host, port))
    except (OSError, ValueError) as fault:
        return Certificate(host, None, str(fault))


def _end_of(host: str, port: int) -> datetime:
    shown = ssl.get_server_certificate((host, port), timeout=PATIENCE_S)
    asking = ssl.create_default_context(cadata=shown)
    asking.check_hostname = False
    asking.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN
    asking.verify_flags |= ssl.VerifyFlags(NO_CHECK_TIME)
    with (
        socket.create_connection((host, port), timeout=PATIENCE_S) as plain,
        asking.wrap_socket(plain, server_hostname=host) as line,
    ):
        told = line.getpeercert() or {}
    ends = ssl.cert_time_to_seconds(str(told["notAfter"]))
    return datetime.fromtimestamp(ends, UTC)
