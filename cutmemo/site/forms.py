"""Small pages in HTML: what is put into them is text, whatever it holds."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from aiohttp import web

STYLE = """\
:root { color-scheme: light dark; font: 18px/1.5 system-ui, sans-serif; }
body { margin: 0 auto; padding: 1rem; max-width: 40rem; background: #fff; color: #000; }
h1 { font-size: 1.6rem; line-height: 1.2; } h2 { font-size: 1.2rem; margin-top: 2rem; }
label { display: block; margin: 1rem 0 .25rem; font-weight: 600; }
input { font: inherit; width: 100%; box-sizing: border-box; padding: .7rem; border: 2px solid #000;
  border-radius: .4rem; background: #fff; color: #000; }
button, .button { font: inherit; font-weight: 700; display: block; width: 100%; min-height: 64px;
  box-sizing: border-box; margin-top: 1rem; padding: 1rem; border: 0; border-radius: .4rem;
  background: #000; color: #fff; text-align: center; text-decoration: none; }
:focus-visible { outline: 4px solid #0b57d0; outline-offset: 2px; }
.wrong { border-left: .5rem solid #8c0000; padding: .5rem 1rem; font-weight: 600; }
code { font: 1rem/1.5 ui-monospace, monospace; overflow-wrap: anywhere; }
li { margin: .4rem 0; }
@media (prefers-color-scheme: dark) {
  body, input { background: #000; color: #fff; } input { border-color: #fff; }
  button, .button { background: #fff; color: #000; } .wrong { border-color: #ff9a9a; }
  a { color: #9ecbff; } :focus-visible { outline-color: #9ecbff; }
}
"""


def text(words: str) -> str:
    """Return *words* as HTML."""
    return html.escape(words)


def heading(words: str, level: int = 2) -> str:
    """Return a heading."""
    return f"<h{level}>{text(words)}</h{level}>"


def paragraph(words: str, kind: str = "") -> str:
    """Return a paragraph; nothing where there are no words."""
    if not words:
        return ""
    return f'<p class="{text(kind)}">{text(words)}</p>' if kind else f"<p>{text(words)}</p>"


def steps(lines: Iterable[str]) -> str:
    """Return a numbered list."""
    return f"<ol>{''.join(f'<li>{text(line)}</li>' for line in lines)}</ol>"


def button_to(address: str, words: str) -> str:
    """Return a link as large as a button."""
    return f'<a class="button" href="{text(address)}">{text(words)}</a>'


def code(words: str) -> str:
    """Return a paragraph of signs that are compared one by one."""
    return f"<p><code>{text(words)}</code></p>"


def form(address: str, fields: Sequence[tuple[str, str, str]], hidden: str, button: str) -> str:
    """Return a form that is sent to *address*, with *fields*: name, label and what it is for the
    browser (``autocomplete``).

    *hidden* is the token it carries, where there is one.
    """
    parts = [f'<form method="post" action="{text(address)}">']
    if hidden:
        parts.append(f'<input type="hidden" name="token" value="{text(hidden)}">')
    for name, label, kind in fields:
        shown = "password" if kind == "current-password" else "text"
        key = text(f"{address.strip('/')}-{name}")
        parts.append(
            f'<label for="{key}">{text(label)}</label>'
            f'<input id="{key}" name="{text(name)}" type="{shown}" maxlength="200"'
            f' autocomplete="{text(kind)}">'
        )
    return "".join([*parts, f"<button>{text(button)}</button></form>"])


def page(title: str, parts: Iterable[str], status: int = 200) -> web.Response:
    """Return a page."""
    body = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<title>{text(title)}</title><link rel="stylesheet" href="/door.css"></head>'
        f"<body><main>{heading(title, 1)}{''.join(parts)}</main></body></html>"
    )
    return web.Response(text=body, content_type="text/html", status=status)


async def style(_request: web.Request) -> web.StreamResponse:
    """Send what these pages look like."""
    return web.Response(text=STYLE, content_type="text/css")
