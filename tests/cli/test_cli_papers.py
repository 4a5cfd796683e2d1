"""Commands about papers and pictures."""

import json

import pypdfium2
import pytest
from PIL import Image

from shopbins.cli import main


@pytest.fixture
def shop(tmp_path, monkeypatch):
    (tmp_path / "shop.yaml").write_text(
        "shop: Slip\nprefix: S\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"
    )
    monkeypatch.chdir(tmp_path)
    assert main(["take", "water pump", "--origin", "engine"]) == 0
    return tmp_path


@pytest.mark.parametrize("kind", ["strip", "refit", "shortages", "left-overs"])
@pytest.mark.parametrize("sort", ["pdf", "csv", "txt"])
def test_reports_are_written(shop, capsys, kind, sort):
    path = shop / f"{kind}.{sort}"
    assert main(["report", kind, "-o", str(path)]) == 0
    assert path.stat().st_size > 10
    assert path.name in capsys.readouterr().out


@pytest.mark.parametrize(
    ("args", "status", "said"),
    [
        (["report", "everything", "-o", "x.pdf"], 64, "no report 'everything'"),
        (["report", "refit", "-o", "x.doc"], 65, ".pdf, .csv, .txt"),
        (["report", "refit", "-o", "nowhere/x.pdf"], 74, "nowhere"),
        (["photos", "nowhere"], 65, "is no folder"),
        (["photos", "."], 65, "holds no pictures"),
    ],
)
def test_what_is_wrong_is_one_line(shop, capsys, args, status, said):
    assert main(args) == status
    err = capsys.readouterr().err
    assert said in err and len(err.splitlines()) == 1


def test_a_report_narrowed_by_conditions_says_so_and_what_it_could_not_compare(shop, capsys):
    assert main(["take", "head", "--origin", "engine", "--mass", "40 kg"]) == 0
    assert main(["take", "bolt", "--origin", "engine", "--mass", "1 kg"]) == 0
    capsys.readouterr()
    assert main(["report", "strip", "-o", "heavy.txt", "--where", "mass > 20 kg"]) == 0
    assert "not weighed, so not compared" in capsys.readouterr().err
    said = (shop / "heavy.txt").read_text()
    assert "head" in said and "bolt" not in said and "water pump" not in said
    assert main(["report", "refit", "-o", "none.txt", "--where", "mass > 2 t"]) == 0
    title, _, said, _, foot = (shop / "none.txt").read_text().splitlines()
    assert (title, said) == ("Refit list: mass > 2 t", "nothing meets mass > 2 t")
    assert foot.startswith("Slip, as of event ")
    assert main(["report", "left-overs", "-o", "of.txt", "--machine", "engine"]) == 0
    assert (shop / "of.txt").read_text().startswith("Count: engine\n"), "not read as of the whole shop"
    assert main(["report", "shortages", "-o", "x.csv", "--where", "mass > 2 t"]) == 65
    assert main(["report", "left-overs", "-o", "x.txt", "--where", "mass > 2 t"]) == 65


def test_photographs_by_their_tags(shop, capsys):
    assert main(["tags", "--all", "-o", "tags.pdf", "--json"]) == 0
    (code,) = json.loads(capsys.readouterr().out.splitlines()[-1])["codes"]
    phone = shop / "phone"
    phone.mkdir()
    page = pypdfium2.PdfDocument(shop / "tags.pdf")[0].render(scale=200 / 72).to_pil()
    page.save(phone / "1.jpg")
    Image.new("RGB", (300, 200)).save(phone / "2.jpg")
    assert main(["photos", str(phone), "--dry-run", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["kept"] == 0
    assert main(["photos", str(phone), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["kept"], data["runs"]) == (2, [{"codes": [code], "pictures": ["1.jpg", "2.jpg"]}])
    assert main(["photos", str(phone)]) == 0
    assert "0 kept, 2 known already" in capsys.readouterr().out
    assert main(["show", code]) == 0
    assert "added photographs" in capsys.readouterr().out


def test_a_folder_without_any_tag(shop, capsys):
    Image.new("RGB", (300, 200)).save(shop / "2.png")
    assert main(["photos", "."]) == 1
    assert "no picture shows a label of this shop" in capsys.readouterr().err
