"""This machine's defaults: a small file kept where the platform keeps such files; the environment
and options win over it.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from cutmemo.errors import BadConfig
from cutmemo.wording import verbs as words

VARIABLES: Mapping[str, str] = {
    "memo": "CUTMEMO_MEMO",
    "model": "CUTMEMO_MODEL",
    "attention": "CUTMEMO_ATTENTION",
    "station": "CUTMEMO_STATION",
    "who": "CUTMEMO_WHO",
    "log": "CUTMEMO_LOG",
    "log_level": "CUTMEMO_LOG_LEVEL",
}
"""What has a default, and the environment variable that wins over it."""


def config_file() -> Path:
    """Return where the defaults are kept: ``CUTMEMO_CONFIG``, or the platform's own place."""
    chosen = os.environ.get("CUTMEMO_CONFIG")
    if chosen:
        return Path(chosen)
    import platformdirs  # deferred: not for whoever only imports the command line

    return Path(platformdirs.user_config_dir("cutmemo", appauthor=False)) / "config.toml"


@dataclass(frozen=True, slots=True)
class Config:
    """The defaults, and what each comes from."""

    values: Mapping[str, str] = field(default_factory=dict)

    def with_source(self, name: str, option: str | None = None) -> tuple[str | None, str]:
        """Return what holds for *name*, and where it comes from: the *option*, else the
        environment, else the file.
        """
        variable = VARIABLES[name]
        if option is not None:
            return option, "option"
        if os.environ.get(variable):
            return os.environ[variable], variable
        if name in self.values:
            return self.values[name], "file"
        return None, "built in"


def read_config() -> Config:
    """Return the defaults of this machine; none where there is no file. Raises
    :class:`BadConfig`.
    """
    path = config_file()
    try:
        plain = tomllib.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return Config()
    except OSError as error:
        raise BadConfig(path, error.strerror or str(error)) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise BadConfig(path, words.no_toml(error)) from error
    for name, value in plain.items():
        if name not in VARIABLES:
            raise BadConfig(path, words.no_default(name, VARIABLES))
        if not isinstance(value, str) or not value:
            raise BadConfig(path, words.default_no_text(name))
        plain[name] = os.path.expanduser(value)  # noqa: PTH111 - a name stays a name
    return Config(plain)
