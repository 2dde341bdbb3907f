"""The microphone, through sounddevice, which is loaded only when somebody listens."""

from __future__ import annotations

import logging
import queue
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import Any

from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk
from cutmemo.errors import NoMicrophone, SoundTrouble

_log = logging.getLogger(__name__)

_WAIT_SECONDS = 0.2
_SILENT_SECONDS = 3.0
"""A device that gives nothing for this long was pulled out."""
_MAX_WAITING = 100
"""Chunks kept while the recogniser is busy: ten seconds."""


def sounddevice() -> ModuleType:
    """Return the sound library. Raises :class:`NoMicrophone` where a part of it is missing."""
    try:
        import sounddevice as library
    except OSError as error:
        raise NoMicrophone(SoundTrouble.NO_PORTAUDIO) from error
    except ImportError as error:
        raise NoMicrophone(SoundTrouble.NO_PACKAGE) from error
    return library  # type: ignore[no-any-return]  # the library ships no types


def has_output() -> bool:
    """Return whether anything can be played here."""
    try:
        library = sounddevice()
        return bool(library.query_devices(kind="output"))
    except NoMicrophone:
        return False
    except Exception:  # PortAudio's own error class cannot be named before it is loaded
        return False


def microphone(stop: Callable[[], bool], device: str | int | None = None) -> Iterator[SoundChunk]:
    """Yield what the microphone hears until *stop* is true. Raises :class:`NoMicrophone`."""
    with _alone():
        yield from _heard(stop, device)


@contextmanager
def _alone() -> Iterator[None]:
    """Hold the microphone for this process: two windows would each take the other's calls down."""
    import filelock  # deferred: only listening needs it
    import platformdirs

    folder = Path(platformdirs.user_runtime_dir("cutmemo", appauthor=False))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        folder = Path(tempfile.gettempdir())
    lock = filelock.FileLock(folder / "cutmemo-microphone.lock", timeout=0)
    try:
        lock.acquire()
    except filelock.Timeout as error:
        raise NoMicrophone(SoundTrouble.LISTENS_ALREADY) from error
    except OSError:
        yield  # nowhere to keep a lock: listening matters more
        return
    try:
        yield
    finally:
        lock.release()


def _heard(stop: Callable[[], bool], device: str | int | None) -> Iterator[SoundChunk]:
    """Yield what the microphone hears."""
    library = sounddevice()
    waiting: queue.Queue[bytes | None] = queue.Queue(_MAX_WAITING)
    lost = False

    def copy(pcm: Any, _frames: int, _time: Any, _status: Any) -> None:
        nonlocal lost
        try:
            waiting.put_nowait(bytes(pcm))
        except queue.Full:
            lost = True

    try:
        stream = library.RawInputStream(
            samplerate=RATE,
            blocksize=CHUNK_SAMPLES,
            channels=1,
            dtype="int16",
            device=device,
            callback=copy,
            finished_callback=lambda: waiting.put(None),
        )
        with stream:
            _log_device(library, device)
            yield from _until(stop, waiting)
    except (library.PortAudioError, ValueError) as error:
        raise NoMicrophone(SoundTrouble.NOT_OPENED, _plain(error)) from error
    if lost:
        _log.warning("more than %s chunks were waiting: some were lost", _MAX_WAITING)
        raise NoMicrophone(SoundTrouble.TOO_BUSY)


def _log_device(library: ModuleType, device: str | int | None) -> None:
    """Write down which microphone listens."""
    if _log.isEnabledFor(logging.INFO):
        _log.info("microphone: %s", library.query_devices(device, "input"))


def _until(stop: Callable[[], bool], waiting: queue.Queue[bytes | None]) -> Iterator[SoundChunk]:
    """Yield chunks as they come, until *stop*; a device that falls silent or ends was pulled
    out.
    """
    silent = 0.0
    while not stop():
        try:
            pcm = waiting.get(timeout=_WAIT_SECONDS)
        except queue.Empty:
            silent += _WAIT_SECONDS
            if silent >= _SILENT_SECONDS:
                raise NoMicrophone(SoundTrouble.SILENT) from None
            continue
        if pcm is None:
            raise NoMicrophone(SoundTrouble.PULLED_OUT)
        silent = 0.0
        yield SoundChunk(pcm)


def _plain(error: Exception) -> str:
    """Return the reason without PortAudio's error number."""
    return (
        str(error).split("[PaErrorCode")[0].removeprefix("Error opening RawInputStream: ").strip()
    )
