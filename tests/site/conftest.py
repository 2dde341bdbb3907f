"""What the tests of the site share."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture
async def site(tmp_path: Path) -> AsyncIterator[Any]:
    """A site that hears what is written into the sound."""
    from site_served import served

    async with served(tmp_path) as found:
        yield found


@pytest.fixture
async def crew(tmp_path: Path) -> AsyncIterator[Any]:
    """A site over TLS, behind its doors."""
    from site_served import secure

    async with secure(tmp_path) as found:
        yield found
