"""QR codes read back (ISO/IEC 18004), with the general reader zxing-cpp, and are as small as labels need them."""

import io
import json

import pypdfium2
import pytest
import segno
import typst
import zxingcpp

from registry.reports.qr import LONGEST_ADDRESS, QrCode, qr_code

PAGES = """
#set page(width: 20mm, height: 20mm, margin: 2mm)
#for svg in json(bytes(sys.inputs.data)) { image(bytes(svg), format: "svg", width: 15mm) }
"""


def read_back(svgs: list[str]) -> list[str]:
    """Print the codes 15 mm wide on a page each and read them at 203 dpi."""
    document = pypdfium2.PdfDocument(typst.compile(PAGES.encode(), sys_inputs={"data": json.dumps(svgs)}))
    return [zxingcpp.read_barcodes(page.render(scale=203 / 72).to_numpy())[0].text for page in document]


def test_two_hundred_addresses_read_back_as_they_were_written() -> None:
    addresses = [f"https://register.example/places/{number * 37}/" for number in range(200)]
    assert read_back([qr_code(address).svg for address in addresses]) == addresses


def test_the_modules_are_those_of_another_run_of_the_encoder() -> None:
    address = "http://127.0.0.1:8000/sites/sallow-bank/"
    again = io.BytesIO()
    segno.make_qr(address, error="l", mask=2).save(again, kind="svg", border=4, xmldecl=False, nl=False, omitsize=True)
    assert qr_code(address).svg == again.getvalue().decode()


def test_a_code_has_four_light_modules_around_it_and_grows_with_its_address() -> None:
    # ISO/IEC 18004: version 3 has 29 modules and holds 53 bytes at level L, version 4 has 33; the quiet zone is 4 wide.
    assert qr_code("http://r.example/" + "a" * (53 - 17)).modules == 29 + 8
    assert qr_code("http://r.example/" + "a" * (54 - 17)).modules == 33 + 8


def test_a_code_fits_where_two_dots_of_a_label_printer_make_a_module() -> None:
    assert QrCode("", 37).fits(9.3)
    assert not QrCode("", 37).fits(9.2)


@pytest.mark.parametrize(
    "address", ["javascript:alert(1)", "ftp://r.example/", "", "http://r.example/" + "a" * LONGEST_ADDRESS]
)
def test_only_web_addresses_of_a_sane_length_become_codes(address: str) -> None:
    with pytest.raises(ValueError, match="http address of at most 400 characters"):
        qr_code(address)
