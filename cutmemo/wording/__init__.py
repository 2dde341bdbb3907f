"""Every sentence a person reads, made from codes and facts. No other package holds prose."""

from cutmemo.wording.doubts import explain

__all__ = ["explain"]
