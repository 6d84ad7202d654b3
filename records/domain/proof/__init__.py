"""Proof that stands alone: canonical bytes, an entry's envelope, the chain of entries."""
