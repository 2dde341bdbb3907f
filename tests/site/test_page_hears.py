"""The phone's microphone, end to end: recordings played into a real Chromium, rows as ``cutmemo hear`` makes them."""

from __future__ import annotations

import wave
from pathlib import Path

import site_parts

site_parts.needed()

from site_microphone import QUIET, Microphone, free, heard, hold, kept, opened, phone  # noqa: E402
from site_pages import needs_chromium, text, until  # noqa: E402
from site_sound import clips  # noqa: E402

from cutmemo.wording.page import WORDS  # noqa: E402

pytestmark = needs_chromium


def test_calls_by_the_button_and_hands_free_are_the_rows_that_hear_makes(tmp_path: Path) -> None:
    names = ["03-porch.wav", "04-porch.wav", "05-porch.wav"]
    one, two, three = names
    parts: list[str | float] = [2.0, one, 1.0, two, 2.5, three, 2.0]
    with phone(tmp_path, parts, voice=False) as (site, driver, times):
        microphone = opened(driver)
        for begin, end in zip(times[0:4:2], times[1:4:2], strict=True):
            microphone.at(begin - 0.3)
            hold(driver, down=True)
            until(lambda: text(driver, "ear") == WORDS["earHeld"])
            microphone.at(end + 0.2)
            hold(driver, down=False)
        free(driver, on=True)
        microphone.at(times[4] + 1.0)
        until(lambda: text(driver, "hearing").startswith("… "))  # the words as they are heard
        microphone.at(times[-1] + 1.5)
        wanted = heard(tmp_path, names)
        until(lambda: site.listed() == wanted, what=site.listed)
        assert wanted[-1].startswith("? ")  # six two and a quarter names its row as a question
        until(lambda: len(driver.find_elements("css selector", "#choices button")) == 3)
        free(driver, on=False)
        until(
            lambda: (
                not driver.execute_script(
                    "return document.getElementById('sending').classList.contains('late')"
                )
            )
        )
        frames = driver.execute_script("return window.kept")
        assert [frame["number"] for frame in frames] == list(range(len(frames)))
        ends = [frame for frame in frames if frame["flags"] & 2]
        assert [frame["flags"] & 4 for frame in ends] == [4, 4, 0]
        assert all(frame["bytes"] == 2560 or frame in ends for frame in frames)


def test_a_network_that_goes_and_a_server_that_is_killed_cost_no_call_and_double_none(
    tmp_path: Path,
) -> None:
    names = ["03-porch.wav", "05-porch.wav"]
    one, two = names
    parts: list[str | float] = [2.0, one, QUIET, two, 3.0]
    with phone(tmp_path, parts, voice=False) as (site, driver, times):
        microphone = Microphone(driver)
        free(driver, on=True)
        microphone.at(times[0] + 1.0)
        site.line.cut()  # in the middle of the first call
        until(lambda: text(driver, "sending").startswith("not sent yet: "))
        microphone.at(times[2] + 1.0)
        site.line.mend()
        site.kill()  # in the middle of the second
        microphone.at(times[3] + 0.5)
        site.start()
        wanted = heard(tmp_path, names)
        until(lambda: site.listed() == wanted, what=site.listed)
        free(driver, on=False)
        until(lambda: kept(driver) == 0, what=lambda: kept(driver))
        assert site.listed() == wanted


def test_the_phone_that_called_reads_back_and_does_not_hear_itself(tmp_path: Path) -> None:
    parts: list[str | float] = [2.0, "03-porch.wav", 6.0]
    with phone(tmp_path, parts, voice=True) as (site, driver, _):
        free(driver, on=True)
        until(lambda: site.listed() == ['101-1/2"'])
        until(
            lambda: driver.execute_script("return window.sounded") > 5
        )  # that it listens; then one zero one and one half
        until(lambda: driver.execute_script("return window.kept.some((frame) => frame.flags & 8)"))
        frames = driver.execute_script("return window.kept")
        muted = [frame for frame in frames if frame["flags"] & 8]
        assert all(frame["still"] for frame in muted)
        steps = [
            after["clock"] - before["clock"]
            for before, after in zip(frames, frames[1:], strict=False)
        ]
        # Muted or not, the time goes on without a hole; a machine that stood still shows as a jump.
        assert [step for step in steps if abs(step - 80) > 40 and step < 1000] == []
        sounded = driver.execute_script("return window.sounded")
        driver.execute_script(
            "Object.defineProperty(document, 'hidden', { value: true, configurable: true }); document.dispatchEvent(new Event('visibilitychange'))"
        )
        until(lambda: text(driver, "ear") == WORDS["earHidden"])
        assert text(driver, "work-told") == WORDS["lostHidden"]
        until(lambda: driver.execute_script("return window.sounded") == sounded + 1)  # by tone
        until(lambda: driver.execute_script("return window.kept.at(-1).flags & 2"))
        driver.execute_script("document.getElementById('more-key').click()")
        until(lambda: "NO LONGER LISTENING" in text(driver, "devices"))


def bench_calls(folder: Path) -> list[str]:
    """Write calls of three speakers, as the bench of recorded calls has them; return the files."""
    names = []
    for number, clip in enumerate([each for each in clips() if each.kind == "call"][::97]):
        names.append(str(folder / f"bench {number}.wav"))
        with wave.open(names[-1], "wb") as file:
            file.setparams((1, 2, 16_000, 0, "NONE", ""))
            file.writeframes(clip.samples.astype("<i2").tobytes())
    return names


def test_recorded_calls_of_others_are_the_rows_of_hear_or_a_question_and_a_full_phone_says_so(
    tmp_path: Path,
) -> None:
    names = bench_calls(tmp_path)
    parts: list[str | float] = [2.5]
    for name in names:
        parts += [name, 3.5]
    with phone(tmp_path, parts, voice=False) as (site, driver, times):
        microphone = Microphone(driver)
        free(driver, on=True)
        wanted = heard(tmp_path, names)
        assert len(wanted) == len(names) == 3
        microphone.at(times[-1] + 2.0)
        until(lambda: len(site.listed()) >= len(wanted), what=site.listed)
        for row, by_hear in zip(site.listed(), wanted, strict=True):
            assert row in (by_hear, f"? {by_hear}")
        # Half an hour of sound is kept and nobody takes it: it is said, and no more is kept.
        sounded = driver.execute_script("return window.sounded")
        driver.execute_script(
            "import('/page/outbox.js').then(({ Outbox }) => Object.defineProperty(Outbox.prototype, 'room', { get: () => false }))"
        )
        until(lambda: text(driver, "ear") == WORDS["earOff"])
        assert text(driver, "work-told") == WORDS["lostFull"]
        until(lambda: driver.execute_script("return window.sounded") > sounded)
        frames = driver.execute_script("return window.kept.length")
        driver.execute_script("document.getElementById('hands-free').click()")
        until(lambda: text(driver, "work-told") == WORDS["lostFull"])
        assert driver.execute_script("return window.kept.length") == frames
