"""A photo is what its pixels are: nothing that hangs on it, and nothing that only calls itself one, is kept."""

import io
import struct
import zlib
from typing import Any

import pytest
from PIL import Image

from sites.photos import LONGEST_SIDE, MOST_BYTES, clean_photo

# Exif tags (JEITA CP-3451, from memory): 0x010F maker, 0x0112 orientation, 0x8825 the place.
MAKER, ORIENTATION, PLACE = 0x010F, 0x0112, 0x8825
SECRET = b"Wi-Fi key: 12345678"


def photo(kind: str = "JPEG", size: tuple[int, int] = (400, 300), **saved: Any) -> bytes:
    out = io.BytesIO()
    picture = Image.new("RGB", size, (200, 30, 30))
    picture.paste((30, 30, 200), (0, 0, size[0] // 2, size[1] // 2))
    picture.save(out, kind, **saved)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_three_kinds_come_out_as_jpeg(kind: str) -> None:
    clean = clean_photo(photo(kind))
    assert opened(clean.data).format == "JPEG"
    assert (clean.width, clean.height) == (400, 300)


def test_a_large_photo_is_made_smaller_and_keeps_its_shape() -> None:
    clean = clean_photo(photo(size=(4000, 2000)))
    assert (clean.width, clean.height) == (LONGEST_SIDE, LONGEST_SIDE // 2)


def test_the_place_the_maker_and_every_remark_are_gone_and_the_picture_stands_upright() -> None:
    exif = Image.Exif()
    exif[MAKER], exif[ORIENTATION] = "Make A", 6  # 6: turned by 90°
    exif.get_ifd(PLACE)[1] = "N"
    sent = photo(exif=exif, comment=SECRET)
    assert SECRET in sent
    clean = clean_photo(sent)
    assert (clean.width, clean.height) == (300, 400)
    seen = opened(clean.data)
    assert dict(seen.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "xmp"} & seen.info.keys()
    assert b"Exif" not in clean.data
    assert SECRET not in clean.data
    # Blue stood at the top left; turned clockwise it stands at the top right.
    red, _, blue = seen.getpixel((seen.width - 10, 10))
    assert blue > red


def test_text_inside_a_png_is_gone() -> None:
    text = zlib.compress(SECRET)
    chunk = b"zTXtnote\x00\x00" + text
    framed = struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
    sent = photo("PNG")
    sent = sent[:33] + framed + sent[33:]  # after the header chunk
    assert text in sent
    clean = clean_photo(sent).data
    assert text not in clean
    assert SECRET not in clean


@pytest.mark.parametrize(
    "tail",
    [b"<script>alert(1)</script>", b"<?php system('id'); ?>", b"PK\x03\x04" + b"\x00" * 40, b"%PDF-1.7\n"],
    ids=["script", "php", "zip", "pdf"],
)
def test_whatever_is_appended_to_a_photo_stays_behind(tail: bytes) -> None:
    for kind in ("JPEG", "PNG"):
        assert tail not in clean_photo(photo(kind) + tail).data


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"<html><body>photo.jpg</body></html>",
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
        b"\xff\xd8\xff\xe0" + b"\x00" * 100,
        b"\x89PNG\r\n\x1a\n" + b"\x00" * 100,
        photo("GIF"),
        photo("BMP"),
        photo("TIFF"),
        photo("JPEG")[:600],
        photo("PNG")[:200],
    ],
    ids=["empty", "svg", "html", "eps", "jpeg-stub", "png-stub", "gif", "bmp", "tiff", "half-jpeg", "half-png"],
)
def test_what_is_no_photo_is_refused_whatever_it_calls_itself(sent: bytes) -> None:
    with pytest.raises(ValueError, match="no photo that can be read: send a JPEG, PNG or WebP"):
        clean_photo(sent)


def test_too_many_bytes_are_refused_before_they_are_looked_at() -> None:
    with pytest.raises(ValueError, match="at most 10 MB"):
        clean_photo(photo() + b"\x00" * MOST_BYTES)


@pytest.mark.parametrize("size", [(8000, 8000), (30000, 30000), (65000, 65000)])
def test_a_small_file_that_unpacks_to_a_huge_picture_is_refused(size: tuple[int, int]) -> None:
    # Only the header tells the size; no pixel of it is unpacked.
    header = struct.pack(">IIBBBBB", *size, 1, 0, 0, 0, 0)
    chunks = [(b"IHDR", header), (b"IDAT", zlib.compress(b"\x00" * 1000)), (b"IEND", b"")]
    framed = [
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body)) for name, body in chunks
    ]
    with pytest.raises(ValueError, match="more than 50 million pixels"):
        clean_photo(b"\x89PNG\r\n\x1a\n" + b"".join(framed))


def test_what_is_transparent_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, "PNG")
    assert opened(clean_photo(out.getvalue()).data).getpixel((10, 10)) == (255, 255, 255)


@pytest.mark.parametrize("mode", ["L", "P", "CMYK", "1", "I;16"])
def test_unusual_colours_are_taken_or_refused_but_never_an_accident(mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (50, 40)).save(out, "JPEG" if mode == "CMYK" else "PNG")
    try:
        assert clean_photo(out.getvalue()).width == 50
    except ValueError as error:
        assert "no photo" in str(error)
