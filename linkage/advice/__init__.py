"""What to do about a tight spot: cures tried out on the figures before they are offered."""

from linkage.advice.cure import Advice, Cure
from linkage.advice.cures import advise

__all__ = ["Advice", "Cure", "advise"]
