"""The files of the page and the clips of the read-back, as they are served: none holds data."""

from __future__ import annotations

import hashlib
import io
import json
import mimetypes
import wave
from functools import cached_property
from pathlib import Path

from aiohttp import web

from cutmemo.audio import player
from cutmemo.audio.chunk import RATE
from cutmemo.bundle import bundled
from cutmemo.wording.page import WORDS

PAGE = Path(__file__).parent / "page"
TONES = {
    "tone-question": lambda: player.question(()),
    "tone-answer": lambda: player.answer(()),
    "tone-refusal": player.refusal,
    "tone-listening": player.listening,
    "tone-muted": player.muted,
}
_TYPES = {".js": "text/javascript", ".webmanifest": "application/manifest+json"}


class Assets:
    """Files, read once: a newer program is another process."""

    def __init__(self, folder: Path = PAGE) -> None:
        """Serve the files in *folder*."""
        self._folder = folder

    @cached_property
    def files(self) -> dict[str, bytes]:
        """Every file of the page, by its name with slashes."""
        found = sorted(each for each in self._folder.rglob("*") if each.is_file())
        return {each.relative_to(self._folder).as_posix(): each.read_bytes() for each in found}

    @cached_property
    def clips(self) -> dict[str, bytes]:
        """Every clip and every tone as a WAV, by its name."""
        words = {each.stem: each.read_bytes() for each in sorted(bundled("clips").glob("*.wav"))}
        return words | {name: _wav(make().tobytes()) for name, make in TONES.items()}

    @cached_property
    def version(self) -> str:
        """A name for exactly these files, clips and words."""
        mark = hashlib.sha256()
        for name, data in [*self.files.items(), *self.clips.items()]:
            mark.update(f"{name} {len(data)} ".encode() + data)
        mark.update(json.dumps(WORDS, sort_keys=True).encode())
        return mark.hexdigest()[:16]

    @cached_property
    def worker(self) -> bytes:
        """The service worker, behind the version and the names of all files."""
        served = [f"/page/{name}" for name in self.files if name not in ("index.html", "sw.js")]
        names = ["/", "/manifest.webmanifest", "/words.json", "/clips.json", *served]
        head = f"const VERSION = {json.dumps(self.version)};\nconst FILES = {json.dumps(names)};\n"
        return head.encode() + self.files.get("sw.js", b"")

    def routes(self) -> list[web.RouteDef]:
        """Return the routes that everybody may ask for."""
        return [
            *self.file_routes(),
            web.get("/sw.js", self._worker),
            web.get("/manifest.webmanifest", self._manifest),
            web.get("/words.json", self._words),
            web.get("/clips.json", self._clips),
            web.get("/clip/{name}", self._clip),
        ]

    def file_routes(self) -> list[web.RouteDef]:
        """Return the route of the files alone."""
        return [web.get("/page/{name:.+}", self._file)]

    async def shell(self, request: web.Request) -> web.StreamResponse:
        """Send the page itself."""
        return await _sent(request, self.files.get("index.html", b""), "index.html")

    async def _file(self, request: web.Request) -> web.StreamResponse:
        return await self._named(request, self.files, request.match_info["name"])

    async def _manifest(self, request: web.Request) -> web.StreamResponse:
        return await self._named(request, self.files, "manifest.webmanifest")

    async def _worker(self, request: web.Request) -> web.StreamResponse:
        return await _sent(request, self.worker, "sw.js")

    async def _words(self, request: web.Request) -> web.StreamResponse:
        return await _json(request, WORDS)

    async def _clips(self, request: web.Request) -> web.StreamResponse:
        return await _json(request, list(self.clips))

    async def _clip(self, request: web.Request) -> web.StreamResponse:
        name = request.match_info["name"]
        if name not in self.clips:
            raise web.HTTPNotFound
        return await _sent(request, self.clips[name], f"{name}.wav")

    async def _named(
        self, request: web.Request, files: dict[str, bytes], name: str
    ) -> web.StreamResponse:
        if name not in files:
            raise web.HTTPNotFound
        return await _sent(request, files[name], name)


async def _sent(request: web.Request, data: bytes, name: str) -> web.StreamResponse:
    """Send *data*, or that it is what the browser has already."""
    mark = f'"{hashlib.sha256(data).hexdigest()[:32]}"'
    headers = {"ETag": mark, "Cache-Control": "no-cache"}
    if mark in request.headers.get("If-None-Match", ""):
        return web.Response(status=304, headers=headers)
    suffix = Path(name).suffix
    kind = _TYPES.get(suffix) or mimetypes.types_map.get(suffix, "application/octet-stream")
    charset = "utf-8" if kind.startswith("text/") or "json" in kind else None
    return web.Response(body=data, content_type=kind, charset=charset, headers=headers)


async def _json(request: web.Request, value: object) -> web.StreamResponse:
    data = json.dumps(value, ensure_ascii=False).encode()
    return await _sent(request, data, "x.json")


def _wav(pcm: bytes) -> bytes:
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(pcm)
    return out.getvalue()
