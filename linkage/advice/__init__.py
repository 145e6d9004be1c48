"""What to do about a tight spot: cures tried out on the figures before they are offered."""

from linkage.advice.cures import Advice, Cure, advise

__all__ = ["Advice", "Cure", "advise"]
