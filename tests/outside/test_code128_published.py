"""Code 128 against published check symbols and against encoders and readers of other makers."""

import random
import string

import pytest

from shopbins.tags.code128 import check_symbol, modules, read


# Check symbols of examples on public pages describing Code 128 (encyclopedia article for PJJ123C in set A;
# symbology guides for the others). Set A and B values are the character's code less 32, set C pairs.
@pytest.mark.parametrize(
    ("start", "text", "check"),
    [(103, "PJJ123C", 54), (103, "ABCDEF", 42), (104, "abcdef", 97)],
)
def test_published_check_symbols(start, text, check):
    assert check_symbol([start, *(ord(each) - 32 for each in text)]) == check


def test_published_check_symbol_of_pairs():
    assert check_symbol([105, 34, 56, 78]) == 73


def other_encoder(text):
    """Return the modules as reportlab's own encoder draws them: letters a to d are widths, bars capital."""
    from reportlab.graphics.barcode.code128 import Code128

    bars = Code128(text, quiet=0)
    bars.validate()
    bars.encode()
    bars.decompose()
    return "".join(
        ("1" if each.isupper() else "0") * (" abcd".index(each.lower())) for each in bars.decomposed
    )


def test_another_encoder_says_the_same_text():
    # The two may choose other code sets for the same text, so what is compared is what each one says, read
    # by our reader, and the pattern where both are equally long.
    rng = random.Random(128)
    same = 0
    for _ in range(400):
        text = "".join(rng.choice(string.ascii_uppercase + string.digits) for _ in range(rng.randint(1, 14)))
        theirs, ours = other_encoder(text), modules(text)
        assert read(theirs) == text
        assert len(ours) <= len(theirs) + 22
        same += ours == theirs
    assert same > 100


def third_encoder(text):
    """Return the modules as zxing-cpp's writer draws them, one dot each."""
    import numpy
    import zxingcpp

    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128)
    image = numpy.asarray(zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False))
    row = image.reshape(image.shape[0], image.shape[1], -1)[image.shape[0] // 2, :, 0]
    return "".join("1" if each < 128 else "0" for each in row)


def test_a_third_encoder_draws_the_same_modules():
    rng = random.Random(15417)
    same = 0
    for _ in range(200):
        text = "".join(rng.choice(string.ascii_uppercase + string.digits) for _ in range(rng.randint(2, 16)))
        theirs = third_encoder(text)
        assert read(theirs) == text
        same += theirs == modules(text)
    assert same > 100


def test_codes_as_a_shop_gives_them_have_the_modules_of_another_encoder():
    # Of four digits, as the first 9,999 are. Where the check character is a digit too, the other one puts the
    # odd digit before the pairs and saves a symbol. The text is the same.
    from shopbins.ledger.codes import next_code

    serial, letters = 0, 0
    for _ in range(150):
        code = next_code("RW", serial)
        serial = code.serial + 50
        ours, theirs = modules(code.text), third_encoder(code.text)
        assert read(ours) == read(theirs) == read(other_encoder(code.text)) == code.text
        if code.text[-1].isalpha():
            letters += 1
            assert ours == theirs
        else:
            assert len(ours) == len(theirs) + 11
    assert letters > 90


def bitmap(pattern, scale, height=40):
    """Draw modules without the program's own drawing."""
    from PIL import Image

    row = "0" * 10 + pattern + "0" * 10
    line = b"".join((b"\x00" if each == "1" else b"\xff") * scale for each in row)
    return Image.frombytes("L", (len(row) * scale, height), line * height)


def test_an_independent_reader_reads_random_texts():
    import zxingcpp

    rng = random.Random(7)
    signs = "".join(chr(each) for each in range(32, 127))
    texts = ["".join(rng.choice(signs) for _ in range(rng.randint(2, 20))) for _ in range(120)]
    texts += ["99" + "".join(rng.choice(string.digits) for _ in range(n)) for n in range(12)]
    for text in texts:
        found = zxingcpp.read_barcodes(bitmap(modules(text), 2), formats=zxingcpp.BarcodeFormat.Code128)
        assert [each.text for each in found] == [text]
