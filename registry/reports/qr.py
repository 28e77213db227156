"""QR codes (ISO/IEC 18004) of the register's own addresses, as SVG."""

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Final

import segno

QUIET_MODULES: Final = 4  # ISO/IEC 18004: a light margin of four modules on every side
LEAST_MODULE_MM: Final = 0.25  # two dots of a 203 dpi label printer (common practice)
LONGEST_ADDRESS: Final = 400
# Trying all eight masks takes most of the time; any one of them reads back, and a test reads hundreds.
MASK: Final = 2


@dataclass(frozen=True, slots=True)
class QrCode:
    """A drawn code, and how many modules it is wide with its quiet zone."""

    svg: str
    modules: int

    def fits(self, side_mm: float) -> bool:
        """Whether a printer can print its modules when the code with its quiet zone is so wide."""
        return side_mm / self.modules >= LEAST_MODULE_MM


@lru_cache(maxsize=2048)
def qr_code(address: str) -> QrCode:
    """Return the code of an http or https address in the smallest size, as strongly corrected as that size allows.

    Raises ValueError for any other text, or one of more than `LONGEST_ADDRESS` characters.
    """
    if not address.startswith(("http://", "https://")) or len(address) > LONGEST_ADDRESS:
        raise ValueError(
            f"a QR code holds an http address of at most {LONGEST_ADDRESS} characters, got {address[:60]!r}"
        )
    code = segno.make_qr(address, error="l", mask=MASK, boost_error=True)
    drawn = BytesIO()
    code.save(drawn, kind="svg", border=QUIET_MODULES, xmldecl=False, nl=False, omitsize=True)
    return QrCode(drawn.getvalue().decode("ascii"), int(code.symbol_size(border=QUIET_MODULES)[0]))
