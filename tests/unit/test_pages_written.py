"""Pages that a crew prints: numbered, never written over, all of them or none."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from cutmemo.errors import BadPage
from cutmemo.tui.controllers import paper

PAGES = {"boards": "<p>boards</p>", "labels": "<p>labels</p>"}


def test_pages_are_numbered_alike_and_none_is_written_over(tmp_path: Path) -> None:
    memo = tmp_path / "site.db"
    first = paper.written(memo, PAGES)
    (tmp_path / "site-labels-2.html").write_text("kept")
    third = paper.written(memo, dict.fromkeys(PAGES, "later"))
    assert [path.name for path in first.values()] == ["site-boards.html", "site-labels.html"]
    assert [path.name for path in third.values()] == ["site-boards-3.html", "site-labels-3.html"]
    assert {kind: path.read_text() for kind, path in first.items()} == PAGES
    assert (tmp_path / "site-labels-2.html").read_text() == "kept"
    assert not (tmp_path / "site-boards-2.html").exists()


def test_screens_that_print_at_once_write_over_nothing(tmp_path: Path) -> None:
    memo = tmp_path / "site.db"
    texts = [{kind: f"{kind} {number}" for kind in PAGES} for number in range(40)]
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda pages: paper.written(memo, pages), texts))
    for pages, paths in zip(texts, found, strict=True):
        assert {kind: path.read_text() for kind, path in paths.items()} == pages
    assert len({path for paths in found for path in paths.values()}) == 2 * len(texts)


def test_where_one_page_cannot_be_written_none_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    memo = tmp_path / "site.db"
    write = paper.write_page

    def full(path: Path, page: str) -> None:
        if "labels" in path.name:
            raise BadPage(path, "No space left on device")
        write(path, page)

    monkeypatch.setattr(paper, "write_page", full)
    with pytest.raises(BadPage, match="No space left"):
        paper.written(memo, PAGES)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadPage, match="gone"):
        paper.written(tmp_path / "gone" / "site.db", PAGES)
