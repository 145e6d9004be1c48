"""From what was felt to its cause: what the findings explain of it, and what else would."""

from linkage.cause.explained import Explained, explain

__all__ = ["Explained", "explain"]
