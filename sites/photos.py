"""Photos that people send: checked by content, drawn anew without anything but their pixels."""

from dataclasses import dataclass
from io import BytesIO
from typing import Final

from PIL import Image, ImageOps

MOST_BYTES: Final = 10 * 1024 * 1024
MOST_PIXELS: Final = 50_000_000  # a phone's largest; what unpacks to more is an attack on the memory
LONGEST_SIDE: Final = 1600
FORMATS: Final = ("JPEG", "PNG", "WEBP")
QUALITY: Final = 82
TOO_MANY: Final = f"The photo has more than {MOST_PIXELS // 10**6} million pixels: send a smaller one."
NO_PHOTO: Final = "This is no photo that can be read: send a JPEG, PNG or WebP file."


@dataclass(frozen=True, slots=True)
class CleanPhoto:
    """A photo drawn anew: JPEG bytes and their size in pixels."""

    data: bytes
    width: int
    height: int


def clean_photo(data: bytes, *, longest_side: int = LONGEST_SIDE) -> CleanPhoto:
    """Decode a photo and encode it again: upright, no longer than `longest_side` pixels, nothing but its pixels.

    What the file is called and what type it claims to be play no part.
    Raises ValueError when it is too large, in bytes or pixels, or no JPEG, PNG or WebP.
    """
    if len(data) > MOST_BYTES:
        raise ValueError(f"The photo has {len(data) / 2**20:.1f} MB: at most {MOST_BYTES // 2**20} MB are taken.")
    try:
        with Image.open(BytesIO(data), formats=FORMATS) as sent:
            if sent.width * sent.height <= MOST_PIXELS:
                return _drawn_anew(sent, longest_side)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise ValueError(TOO_MANY) from error
    except Exception as error:
        # Decoders trip over bad files in many ways; whichever it is, this is no photo.
        raise ValueError(NO_PHOTO) from error
    raise ValueError(TOO_MANY)


def _drawn_anew(sent: Image.Image, longest_side: int) -> CleanPhoto:
    # Made small before anything else, so that no second copy of a large picture is held.
    sent.thumbnail((longest_side, longest_side))
    layer = ImageOps.exif_transpose(sent).convert("RGBA")
    # Only pixels go over: whatever hangs on the sent picture (places, names, comments, profiles) stays behind.
    fresh = Image.new("RGB", layer.size, "white")
    fresh.paste(layer, mask=layer.getchannel("A"))
    out = BytesIO()
    fresh.save(out, "JPEG", quality=QUALITY)
    return CleanPhoto(out.getvalue(), *fresh.size)
