"""Every source of the model is named with licence and checksum, and in the notice."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from recipe import data
from recipe.data import Source, digest, sources

NOTICE = (Path(__file__).parents[2] / "models" / "en" / "NOTICE").read_text("utf-8")


@pytest.mark.parametrize("source", sources(), ids=lambda source: source.name)
def test_a_source_has_a_licence_and_is_known_again_or_says_why_not(source: Source) -> None:
    assert source.licence
    assert source.licence_url.startswith("https://")
    assert source.pack or source.package or source.unknown
    assert len(source.sha256) == 64 or source.unknown


@pytest.mark.parametrize(
    "source", [s for s in sources() if s.in_weights], ids=lambda source: source.name
)
def test_what_is_in_the_weights_is_in_the_notice(source: Source) -> None:
    # Line breaks may fall anywhere in a name.
    assert source.name.lower() in " ".join(NOTICE.lower().split())


def test_share_alike_data_is_marked_and_said_plainly() -> None:
    marked = {source.name for source in sources() if source.share_alike}
    assert marked == {s.name for s in sources() if s.in_weights and "SA" in s.licence}
    assert not marked or "Share-alike data went into these weights" in NOTICE


def test_the_notice_links_every_licence_of_creative_commons_that_it_needs() -> None:
    for source in sources():
        if source.in_weights and "creativecommons.org" in source.licence_url:
            assert source.licence_url in NOTICE


def test_a_pack_is_known_by_its_table_and_its_files(tmp_path: Path) -> None:
    table = tmp_path / "words.tsv"
    table.write_text("file\tstart\nb.ogg\t0\na.ogg\t0\nb.ogg\t9\n")
    (tmp_path / "a.ogg").write_bytes(b"A")
    (tmp_path / "b.ogg").write_bytes(b"B")
    assert digest(table) == hashlib.sha256(table.read_bytes() + b"AB").hexdigest()
    (tmp_path / "b.ogg").write_bytes(b"C")
    assert digest(table) != hashlib.sha256(table.read_bytes() + b"AB").hexdigest()


def test_another_pack_than_the_one_named_ends_in_an_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "words.tsv").write_text("file\tstart\na.ogg\t0\n")
    (tmp_path / "a.ogg").write_bytes(b"A")
    with pytest.raises(SystemExit, match="are not those"):
        data.main([str(tmp_path)])
    assert "ANOTHER CHECKSUM" in capsys.readouterr().out
