"""What plain HTTP answers: how to trust the site, its certificate, and the way to HTTPS."""

from __future__ import annotations

from collections.abc import Callable

from aiohttp import web

from cutmemo.site import forms
from cutmemo.site.certificates import Certificates
from cutmemo.wording import site as words

SAFE = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; frame-ancestors 'none'; "
    "base-uri 'none'; form-action 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}
FILE = "cutmemo-site.crt"


def trust_app(certificates: Callable[[], Certificates], home: Callable[[], str]) -> web.Application:
    """Return the application of the plain port; *home* is where the site is."""

    async def ask(_request: web.Request) -> web.StreamResponse:
        return trust_page(certificates().fingerprint, home())

    async def authority(_request: web.Request) -> web.StreamResponse:
        return web.Response(
            body=certificates().authority_der,
            content_type="application/x-x509-ca-cert",
            headers={"Content-Disposition": f'attachment; filename="{FILE}"'},
        )

    async def elsewhere(_request: web.Request) -> web.StreamResponse:
        parts = [forms.button_to("/", words.TO_TRUST), forms.button_to(home(), words.TO_SITE)]
        return forms.page(words.NOT_HERE, parts, 404)

    app = web.Application(client_max_size=1_024)
    app.add_routes(
        [
            web.get("/", ask),
            web.get(f"/{FILE}", authority),
            web.get("/door.css", forms.style),
            web.route("*", "/{rest:.*}", elsewhere),
        ]
    )
    app.on_response_prepare.append(_safely)
    return app


def trust_page(fingerprint: str, home: str) -> web.Response:
    """Return how each kind of device trusts the site."""
    parts = [
        forms.paragraph(words.WHY_TRUST),
        forms.button_to(f"/{FILE}", words.GET_AUTHORITY),
        forms.paragraph(words.COMPARE),
        forms.code(fingerprint),
        *(
            part
            for name, lines in words.TRUST
            for part in (forms.heading(name), forms.steps(lines))
        ),
        forms.heading(words.THEN),
        forms.button_to(home, words.TO_SITE),
        forms.heading(words.WITHOUT),
        forms.paragraph(words.WITHOUT_TRUST),
        forms.heading(words.TAKE_OFF),
        forms.steps(words.UNTRUST_SHORT),
    ]
    return forms.page(words.TRUST_TITLE, parts)


async def _safely(_request: web.Request, response: web.StreamResponse) -> None:
    for name, value in SAFE.items():
        response.headers.setdefault(name, value)
    response.headers.popall("Server", None)
