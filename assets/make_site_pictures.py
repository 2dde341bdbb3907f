"""Makes the pictures of the site for README from its real pages on a porch job of our own:
PYTHONPATH=tests python assets/make_site_pictures.py

Writes phone.png, tablet.png and yard.png beside itself, and the icons of the page. Needs Debian's
chromium and chromium-driver.
"""

from __future__ import annotations

import multiprocessing
import os
import tempfile
from pathlib import Path
from typing import Any

from make_pictures import CALLS, Clock
from site_pages import browser, free_port, open_port, resize, text, until

from cutmemo.memo import open_store
from cutmemo.memo.commands import Order, Say
from cutmemo.service import Memo, Station
from cutmemo.site.run import serve_here
from cutmemo.wording import screens as words

HERE = Path(__file__).resolve().parent
PAGE = HERE.parent / "cutmemo" / "site" / "page"
ICONS = (192, 512)
ROWS_BEFORE_THE_RAFTER = 5
PHONE, LAID = (390, 780), (1024, 640)
BOARDS = ("3 2x6 16 footers", "2x6 12 footer", "2 2x4 12 footers", "4 2x8 12 footers")


def porch(memo: Path) -> None:
    """Call the porch job, load the rack, cut one, and leave a question open."""
    with open_store(memo) as journal:
        station = Station(Memo(journal), "ladder phone", "ann", Clock())
        for said in (*CALLS, *BOARDS):
            station.execute(Say(said))
        for _ in range(ROWS_BEFORE_THE_RAFTER):
            station.execute(Order("skip"))
        station.execute(Order("clear"))
        station.execute(Say("six two and a quarter"))


def picture(driver: Any, name: str, address: str, ready: str) -> None:
    """Write what *address* shows once the element *ready* says something."""
    driver.get(address)
    until(lambda: text(driver, ready) not in ("", words.PLANNING))
    driver.save_screenshot(str(HERE / f"{name}.png"))


def icons(driver: Any) -> None:
    """Write the icons of the page from their drawing."""
    for side in ICONS:
        resize(driver, (side, side))
        driver.get((PAGE / "icon.svg").as_uri())
        driver.save_screenshot(str(PAGE / f"icon-{side}.png"))


def main() -> None:
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["CUTMEMO_FOLDER"] = folder
        memo = Path(folder) / "porch.cutmemo"
        porch(memo)
        server = multiprocessing.get_context("spawn").Process(
            target=serve_here, args=(memo, port, None, print), daemon=True
        )
        server.start()
        until(lambda: open_port(port))
        try:
            with browser(Path(folder)) as driver:
                page = f"http://localhost:{port}/"
                resize(driver, PHONE)
                picture(driver, "phone", page, "call-head")
                resize(driver, LAID)
                picture(driver, "tablet", f"{page}?2#saw", "saw-board")
                picture(driver, "yard", f"{page}?3#boards", "plan")
                icons(driver)
        finally:
            server.terminate()
            server.join()


if __name__ == "__main__":
    main()
