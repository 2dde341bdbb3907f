"""Every sentence a person reads, made from codes and facts. No other package holds prose."""

from cutmemo.wording.doubts import explain
from cutmemo.wording.errors import explain_error

__all__ = ["explain", "explain_error"]
