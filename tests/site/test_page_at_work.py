"""The page against the real server, over a line that can be cut: typed calls, questions, the saw, two devices."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
import site_parts

site_parts.needed()

from site_microphone import kept  # noqa: E402
from site_pages import (  # noqa: E402
    LYING,
    PHONE,
    SCREEN,
    SMALL,
    SMALL_LYING,
    TABLET,
    WALL,
    needs_chromium,
    resize,
    text,
    until,
)
from site_server import Site  # noqa: E402

from cutmemo.wording.page import WORDS  # noqa: E402
from cutmemo.wording.screens import TROUBLES  # noqa: E402

pytestmark = needs_chromium


@pytest.fixture
def site(place: tuple[Site, Any]) -> Site:
    return place[0]


@pytest.fixture
def page(place: tuple[Site, Any]) -> Iterator[Any]:
    site, driver = place
    resize(driver, PHONE)
    show(driver, site, "work")
    yield driver
    find(site, driver)
    until(lambda: connected(driver))


def connected(driver: Any) -> bool:
    return text(driver, "sending") == WORDS["connected"] and bool(text(driver, "where"))


def show(driver: Any, site: Site, view: str) -> None:
    driver.execute_script("location.hash = arguments[0]", view)
    until(lambda: driver.execute_script("return document.documentElement.dataset.view") == view)


def say(driver: Any, call: str) -> None:
    told = text(driver, "work-told")
    line = driver.find_element("id", "line")
    line.send_keys(call, "\n")
    until(lambda: text(driver, "work-told") not in ("", told), what=call)


def lose(site: Site, driver: Any) -> None:
    """Take the network away; the device sees it."""
    site.line.cut()
    driver.execute_script("dispatchEvent(new Event('offline'))")


def find(site: Site, driver: Any) -> None:
    """Give the network back."""
    site.line.mend()
    driver.execute_script("dispatchEvent(new Event('online'))")


def press(driver: Any, name: str) -> None:
    driver.execute_script("document.getElementById(arguments[0]).click()", name)


def choices(driver: Any) -> list[str]:
    return list(
        driver.execute_script(
            "return [...document.querySelectorAll('#choices button')].map((key) => key.innerText)"
        )
    )


# --- looks ------------------------------------------------------------------------------------------

MEASURE = """
const shown = (element) => element.getClientRects().length && getComputedStyle(element).visibility !== "hidden";
const view = document.getElementById(document.documentElement.dataset.view);
const wide = [...document.querySelectorAll("body *")].filter((each) => shown(each) && !each.closest(".unseen")
  && each.getBoundingClientRect().right > innerWidth + 1).map((each) => each.id || each.className || each.tagName);
const figure = view.querySelector(".figures svg");
const tall = figure ? figure.getBoundingClientRect().height : 0;
const box = figure ? figure.viewBox.baseVal : { width: 1, height: 1 };
const scale = figure ? Math.min(figure.getBoundingClientRect().width / box.width, tall / box.height) : 0;
const keys = [...view.querySelectorAll(".keys button, #talk, #choices button")].filter(shown).map((key) => [key.id || key.innerText, key.getBoundingClientRect().height]);
const cut = [...view.querySelectorAll("button, .stop, .facts, .place")].filter((each) => shown(each) && (each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1)).map((each) => each.id || each.innerText);
const low = [...view.querySelectorAll(".keys, .talk")].filter(shown).map((each) => each.getBoundingClientRect().bottom).filter((bottom) => view.id === "saw" && bottom > innerHeight + 1);
const below = document.documentElement.scrollHeight - innerHeight;
return { wide, figure: scale * 100, keys, cut, low, below };
"""


SIZES, SEEN = [SMALL, SMALL_LYING, PHONE, LYING, TABLET, SCREEN, WALL], ["work", "saw", "boards"]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", SEEN)
def test_every_view_fits_from_a_phone_to_a_wall(
    site: Site, page: Any, size: tuple[int, int], view: str
) -> None:
    inches = 200 + 7 * SIZES.index(size) + 50 * SEEN.index(view)
    say(page, f"{inches}-13/16 2x4")  # as wide as there are, and each once
    resize(page, size)
    show(page, site, view)
    page.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
    seen = page.execute_script(MEASURE)
    assert seen["wide"] == []
    assert seen["cut"] == []
    assert seen["low"] == []
    assert seen["below"] == 0  # else the tabs are scrolled off
    if view != "boards":
        assert seen["figure"] >= 72  # px, the height of a figure
    assert [key for key in seen["keys"] if key[1] < 64] == []


def test_figures_at_the_saw_fill_what_the_window_leaves_them(site: Site, page: Any) -> None:
    """On a screen seen from 2 m a figure is 8 mm and more (0.004 of the distance, NUREG-0700): these are far above."""
    show(page, site, "saw")
    heights = []
    for size in (PHONE, TABLET, SCREEN, WALL):
        resize(page, size)
        page.execute_async_script(
            "requestAnimationFrame(() => requestAnimationFrame(arguments[0]))"
        )
        heights.append(page.execute_script(MEASURE)["figure"])
    assert heights == sorted(heights)
    assert heights[1] > 0.2 * TABLET[1]
    assert heights[3] > 0.2 * WALL[1]


CLIPPED = "return [...document.querySelectorAll('#plan .on')].filter((each) => each.scrollWidth > each.clientWidth && each.className !== 'on bare').map((each) => [each.innerText, each.className, each.scrollWidth, each.clientWidth])"


def test_a_length_that_does_not_fit_its_piece_is_left_out_and_never_cut_off(
    site: Site, page: Any
) -> None:
    say(page, "8 @ 3-15/16 2x4 block")  # drawn while the boards are not looked at
    show(page, site, "boards")
    until(lambda: page.execute_script("return document.querySelectorAll('#plan .on').length"))
    for size in (PHONE, SCREEN):
        resize(page, size)
        until(lambda: not page.execute_script(CLIPPED), what=lambda: page.execute_script(CLIPPED))


# --- calls ------------------------------------------------------------------------------------------


def test_a_question_has_a_large_key_for_each_reading_and_its_answer_counts(
    site: Site, page: Any
) -> None:
    say(page, "six two and a quarter")
    until(lambda: len(choices(page)) == 3)
    assert "62-1/4" in choices(page)[0]
    assert "74-1/4" in choices(page)[1]
    page.find_elements("css selector", "#choices button")[1].click()
    until(lambda: '74-1/4"' in site.listed())
    until(lambda: text(page, "work-told").startswith("✓"))


KEYS = """
const bottom = document.querySelector("#work .scroll").getBoundingClientRect().bottom;
return [...document.querySelectorAll("#choices button")].map((key) => {
  const { height, bottom: end } = key.getBoundingClientRect();
  return { text: key.innerText, height, free: bottom - end };
});
"""


@pytest.mark.parametrize("size", [SMALL, (360, 740), SMALL_LYING, TABLET, SCREEN, WALL])
def test_all_keys_of_a_question_are_seen_whole_and_are_large(
    site: Site, page: Any, size: tuple[int, int]
) -> None:
    """None is half behind the button to talk, whatever was scrolled to before."""
    resize(page, size)
    page.execute_script("document.querySelector('#work .scroll').scrollTop = 9999")
    say(page, "six two and a quarter two by six king stud for wall three")
    page.execute_script("document.activeElement.blur()")
    until(lambda: "six two" in text(page, "call-said") and len(choices(page)) == 3)
    page.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
    keys = page.execute_script(KEYS)
    assert [key for key in keys if key["height"] < 64 or key["free"] < 0] == []
    label, key = page.execute_script(
        "return ['talk-label', 'talk'].map((id) => document.getElementById(id).getBoundingClientRect().toJSON())"
    )
    assert key["left"] < label["left"]
    assert label["right"] < key["right"] <= size[0]
    press_last(page)


def press_last(page: Any) -> None:
    """Say that no reading is right, so that nothing is asked any more."""
    asked = text(page, "call-head")
    page.execute_script("document.querySelector('#choices button:last-child').click()")
    until(lambda: text(page, "call-head") != asked)


def test_a_refused_call_says_why_and_changes_nothing(site: Site, page: Any) -> None:
    before = site.listed()
    say(page, "forty two and nine elevenths")
    assert text(page, "work-told").startswith("✗")
    assert page.find_element("id", "work-told").get_attribute("class") == "told wrong"
    assert site.listed() == before


def test_strike_asks_once_and_undo_takes_it_back(site: Site, page: Any) -> None:
    say(page, "17-3/4 2x4 block")
    number = len(site.rows())
    until(lambda: text(page, "call-head").endswith(f"Row {number} · open"))
    press(page, "strike")
    until(lambda: page.execute_script("return document.getElementById('asks').open"))
    assert f"Strike row {number}" in text(page, "asks-title")
    page.find_elements("css selector", "#asks-keys button")[1].click()
    assert site.rows()[-1].state == "open"
    press(page, "strike")
    page.find_elements("css selector", "#asks-keys button")[0].click()
    until(lambda: site.rows()[-1].state == "struck")
    press(page, "undo")
    until(lambda: site.rows()[-1].state == "open")


def test_script_in_a_place_stays_text(site: Site, page: Any) -> None:
    say(page, "20 for <img src=x onerror=document.title='no'>")
    assert page.title == WORDS["work"]
    assert (
        page.execute_script("return document.querySelectorAll('main img, main script').length") == 0
    )


# --- the saw, by keys alone -------------------------------------------------------------------------


def test_every_control_is_reached_by_the_keyboard_and_the_guard_opens_by_it(
    site: Site, page: Any
) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    for view in ("work", "saw"):
        show(page, site, view)
        page.execute_script("document.activeElement.blur()")
        wanted = set(
            page.execute_script(
                "return [...document.querySelectorAll('header a, header button, main button, main input')].filter((each) => each.getClientRects().length).map((each, k) => { each.dataset.stop = k; return String(k); })"
            )
        )
        met = set()
        for _ in range(len(wanted) + 3):
            ActionChains(page).send_keys(Keys.TAB).perform()
            met.add(page.execute_script("return document.activeElement.dataset.stop ?? ''"))
        assert wanted <= met
    press(page, "more-key")
    press(page, "guard")
    assert page.execute_script("return document.activeElement.id") == "unlock"
    assert page.execute_script("return document.querySelector('main').inert")
    page.find_element("id", "unlock").click()  # a touch: too short
    assert page.find_element("id", "shield").is_displayed()
    ActionChains(page).key_down(Keys.ENTER).perform()
    until(lambda: not page.find_element("id", "shield").is_displayed())
    ActionChains(page).key_up(Keys.ENTER).perform()
    assert not page.execute_script("return document.querySelector('main').inert")


AWAKE = """
const done = arguments[0], asked = [], awake = () => document.getElementById("awake").textContent, told = [];
let lock, refuses = false;
const request = async (kind) => {
  asked.push(kind);
  if (refuses) throw new Error("no");
  return (lock = { released: false });
};
Object.defineProperty(navigator, "wakeLock", { configurable: true, value: { request } });
const again = async (event) => {
  document.dispatchEvent(new Event(event));
  await new Promise((go) => setTimeout(go));
  told.push([asked.length, awake()]);
};
import("/page/guard.js").then(async ({ stayAwake }) => {
  await stayAwake();
  asked.length = 0;
  await again("visibilitychange");
  lock.released = true;
  await again("visibilitychange");
  lock.released = true;
  refuses = true;
  await again("pointerdown");
  done(told);
});
"""


def test_the_screen_stays_on_is_kept_on_again_once_it_was_let_go_and_says_where_it_cannot_be(
    page: Any,
) -> None:
    page.refresh()  # what it asked for before is gone with the page
    until(lambda: connected(page))
    kept_on, again, refused = page.execute_async_script(AWAKE)
    assert kept_on[1] == again[1] == WORDS["awake"]
    assert again[0] > kept_on[0]
    assert refused[1] == WORDS["asleep"]
    page.refresh()
    until(lambda: connected(page))


def test_the_button_to_talk_is_held_by_the_keyboard_too_and_noise_is_acknowledged(
    site: Site, page: Any
) -> None:
    """Chromium's own fake microphone beeps: that is no call."""
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    before = site.listed()
    page.execute_script("document.getElementById('talk').focus()")
    ActionChains(page).key_down(Keys.SPACE).perform()
    until(lambda: text(page, "ear") == WORDS["earHeld"])
    until(lambda: kept(page) > 10)
    ActionChains(page).key_up(Keys.SPACE).perform()
    until(lambda: text(page, "ear") == WORDS["earOff"])
    until(lambda: kept(page) == 0)
    assert site.listed() == before


def left(site: Site, number: int) -> int:
    return site.rows()[number - 1].left


def test_what_is_cut_without_a_connection_waits_goes_on_and_counts_once(
    site: Site, page: Any
) -> None:
    show(page, site, "saw")
    until(lambda: text(page, "saw-facts").startswith(("3 of", "2 of", "6 of")))
    first = next(row for row in site.rows() if row.state == "open")
    before, shown = (
        first.left,
        page.find_element("css selector", "#saw-figures svg").get_attribute("aria-label"),
    )
    lose(site, page)
    until(lambda: text(page, "sending") == WORDS["apart"])
    for _ in range(before):
        press_one(page, "cut", lambda: text(page, "saw-facts"))
    assert (
        page.find_element("css selector", "#saw-figures svg").get_attribute("aria-label") != shown
    )
    assert text(page, "saw-waiting").count(f"row {first.number}") == before
    assert left(site, first.number) == before
    find(site, page)
    until(lambda: left(site, first.number) == 0)
    until(lambda: text(page, "saw-waiting") == "")
    press(page, "saw-undo")
    until(lambda: left(site, first.number) == 1)


def test_by_board_the_piece_its_board_and_its_mark_are_shown_and_cut_one_by_one(
    site: Site, page: Any
) -> None:
    show(page, site, "saw")
    press(page, "by-board")
    try:
        until(lambda: " · row " in text(page, "saw-board"))
        number = int(text(page, "saw-board").split(" · row ")[1].split()[0])
        figure = page.find_element("css selector", "#saw-figures svg").get_attribute("aria-label")
        assert site.rows()[number - 1].cut.angled() or figure.rstrip('"') in text(page, "saw-board")
        before = lefts(site)
        press_one(page, "cut", lambda: lefts(site))
        (cut,) = [
            n for n, (was, now) in enumerate(zip(before, lefts(site), strict=True)) if was != now
        ]
        assert lefts(site)[cut] == before[cut] - 1
        press_one(page, "saw-undo", lambda: lefts(site))
        assert lefts(site) == before, text(page, "saw-told")
    finally:
        press(page, "by-board")


def lefts(site: Site) -> list[int]:
    """Return how many are left of each row."""
    return [row.left for row in site.rows()]


def press_one(page: Any, key: str, seen: Callable[[], object]) -> None:
    """Press until *seen* changes: a second touch within 0.4 s is the same touch, and does nothing."""
    before = seen()

    def pressed() -> bool:
        press(page, key)
        return seen() != before

    until(pressed)


def test_trouble_asks_what_is_wrong_with_which_piece(site: Site, page: Any) -> None:
    show(page, site, "saw")
    until(lambda: page.find_elements("css selector", "#saw-figures svg"))
    row = next(row for row in site.rows() if row.state == "open")
    press_one(page, "cut", lambda: lefts(site))
    assert left(site, row.number) == row.left - 1
    until(lambda: f"row {row.number}" in text(page, "saw-told").lower())
    press(page, "trouble")
    keys = page.find_elements("css selector", "#asks-keys button")
    assert "row" in text(page, "asks-keys")
    assert keys[0].text == TROUBLES["short"]
    keys[0].click()
    until(lambda: site.rows()[row.number - 1].spoiled == ("short",))
    until(lambda: "AGAIN: short" in text(page, "saw-alerts"))
    assert left(site, row.number) == row.left


def test_an_answer_given_without_a_connection_is_refused_where_somebody_was_first(
    site: Site, page: Any
) -> None:
    say(page, "five two and a half")
    until(lambda: len(choices(page)) == 3)
    asked = site.rows()[-1]
    first = page.current_window_handle
    lose(site, page)
    until(lambda: text(page, "sending") == WORDS["apart"])
    page.find_elements("css selector", "#choices button")[0].click()
    until(lambda: f"row {asked.number}" in text(page, "work-waiting"))
    answer_at_the_terminal(site, asked.id, 2)
    find(site, page)
    until(lambda: text(page, "work-told").startswith("✗"))
    until(lambda: "waits" not in text(page, "work-waiting"))
    assert page.current_window_handle == first
    assert str(asked.number) in text(page, "work-told")
    assert site.listed()[asked.number - 1] == '62-1/2"'


def answer_at_the_terminal(site: Site, row: str, choice: int) -> None:
    from cutmemo.memo import open_store
    from cutmemo.memo.commands import Order
    from cutmemo.service import Memo, Station

    with open_store(site.memo) as journal:
        Station(Memo(journal), "terminal", "bob").execute(Order("answer", row, choice))


def test_a_page_loaded_anew_without_a_connection_opens_and_still_delivers(
    site: Site, page: Any
) -> None:
    page.execute_async_script("navigator.serviceWorker.ready.then(arguments[0])")
    until(lambda: page.execute_script("return Boolean(navigator.serviceWorker.controller)"))
    assert page.execute_cdp_cmd("Page.getInstallabilityErrors", {})["installabilityErrors"] == []
    lose(site, page)
    until(lambda: text(page, "sending") == WORDS["apart"])
    line = page.find_element("id", "line")
    line.send_keys("88-1/8 2x4", "\n")
    until(lambda: "88-1/8" in text(page, "work-waiting"))
    page.refresh()
    until(lambda: "88-1/8" in text(page, "work-waiting"))
    assert '88-1/8" 2x4' not in site.listed()
    find(site, page)
    until(lambda: '88-1/8" 2x4' in site.listed())
    until(lambda: text(page, "work-waiting") == "")
    assert site.listed().count('88-1/8" 2x4') == 1


def test_a_killed_server_comes_back_and_nothing_is_lost_or_doubled(site: Site, page: Any) -> None:
    say(page, "71-1/16")
    site.kill()
    line = page.find_element("id", "line")
    line.send_keys("72-1/16", "\n")
    line.send_keys("73-1/16", "\n")
    until(lambda: text(page, "work-waiting").count("/16") == 2)
    site.start()
    until(lambda: site.listed()[-1] == '73-1/16"')
    assert site.listed()[-3:] == ['71-1/16"', '72-1/16"', '73-1/16"']
    until(lambda: text(page, "work-waiting") == "")


def test_two_pages_see_each_other(site: Site, page: Any) -> None:
    first = page.current_window_handle
    page.switch_to.new_window("tab")
    try:
        resize(page, TABLET)
        page.get(site.address + "#saw")
        until(lambda: connected(page))
        page.switch_to.window(first)
        say(page, "99-15/16 2x12")
        page.switch_to.window(page.window_handles[-1])
        show(page, site, "work")
        until(lambda: '99-15/16"' in text(page, "rows"))
    finally:
        page.close()
        page.switch_to.window(first)


NO_DOORS = (
    "window.fetchKept = fetch; window.fetch = async () => new Response(null, { status: 404 });"
)


def test_a_page_of_one_machine_alone_says_how_phones_come_in(page: Any) -> None:
    page.execute_script(NO_DOORS)  # what a server without doors answers
    try:
        page.find_element("id", "more-key").click()
        page.execute_script("document.getElementById('invite').click()")
        until(lambda: text(page, "invite-how") == WORDS["aloneHere"])
    finally:
        page.execute_script("window.fetch = fetchKept; document.getElementById('more').close()")
