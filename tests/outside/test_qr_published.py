"""QR symbols against published sizes, and readers of other makers."""

import random

import pytest

from shopbins.tags import TagError, qr

LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def texts(count, seed=18004):
    rng = random.Random(seed)
    return ["".join(rng.choice(LETTERS) for _ in range(rng.randint(1, 20))) for _ in range(count)]


def test_version_1_is_21_modules_and_29_with_its_quiet_zone():
    # ISO/IEC 18004: version v is 17 + 4 v modules, quiet zone of four. A public page on QR sizes has for
    # version 3 of .254 mm modules 7.366 mm, 9.398 mm with quiet zone: 29 and 37 modules.
    assert qr.SIZE == 17 + 4 * 1 and qr.ALL_MODULES == qr.SIZE + 8
    sides = (17 + 4 * 3) * 0.254, (17 + 4 * 3 + 8) * 0.254
    assert sides == pytest.approx((7.366, 9.398))


def test_error_correction_is_the_most_the_symbol_has_room_for():
    # ISO/IEC 18004, version 1, alphanumeric: 10 characters at level H, 16 at Q, 20 at M.
    import zxingcpp

    for length, level in ((1, "H"), (8, "H"), (10, "H"), (11, "Q"), (16, "Q"), (17, "M"), (20, "M")):
        (found,) = zxingcpp.read_barcodes(bitmap(qr.symbol("Z" * length), 4))
        assert found.ec_level == level


def test_another_reader_reads_every_symbol_even_at_one_dot_a_module():
    import zxingcpp

    for text in texts(120, 7):
        for scale in (2, 5):
            found = zxingcpp.read_barcodes(
                bitmap(qr.symbol(text), scale), formats=zxingcpp.BarcodeFormat.QRCode
            )
            assert [each.text for each in found] == [text]


def test_another_encoder_says_the_same_in_as_many_modules():
    # zxing-cpp writes symbols too; it may choose another mask and level, so what it wrote is read by ours.
    import numpy
    import zxingcpp

    for text in texts(40, 3):
        made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode)
        image = numpy.asarray(zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False))
        assert image.shape[:2] == (qr.SIZE, qr.SIZE)
        dark = image.reshape(qr.SIZE, qr.SIZE, -1)[:, :, 0] < 128
        ours = numpy.array([[each == "1" for each in row] for row in qr.symbol(text).rows])
        corners = [(0, 0), (0, 14), (14, 0)]
        assert all((dark[r : r + 7, c : c + 7] == ours[r : r + 7, c : c + 7]).all() for r, c in corners)
        assert (dark[6] == ours[6]).all() and (dark[:, 6] == ours[:, 6]).all(), "timing patterns"


@pytest.mark.parametrize("text", ["", "z", "Ä", "Z" * 21, "Z\n", "\x1b[2J"])
def test_what_is_no_code_is_refused(text):
    with pytest.raises(TagError, match="cannot be a QR code"):
        qr.symbol(text)


def bitmap(symbol, scale):
    """Draw a symbol with its quiet zone, without the program's own drawing."""
    from PIL import Image

    wide = qr.ALL_MODULES
    rows = ["0" * wide] * 4 + [f"0000{row}0000" for row in symbol.rows] + ["0" * wide] * 4
    line = b"".join(b"".join((b"\x00" if m == "1" else b"\xff") * scale for m in row) * scale for row in rows)
    return Image.frombytes("L", (wide * scale, wide * scale), line)
