"""The grammar of a call, one module a part."""
