"""A time-based one-time password as RFC 6238 describes it, written from the RFC and not from the library."""

import hashlib
import hmac
import struct
import time


def totp(key: bytes, *, at: float | None = None, digits: int = 6) -> str:
    """Return the code of HMAC-SHA-1 with steps of 30 s (RFC 6238, section 4; RFC 4226, section 5.3)."""
    counter = int(time.time() if at is None else at) // 30
    digest = hmac.new(key, struct.pack(">Q", counter), hashlib.sha1).digest()
    offset = digest[-1] & 0xF
    number = struct.unpack(">I", digest[offset : offset + 4])[0] & 0x7FFFFFFF
    return str(number % 10**digits).zfill(digits)
