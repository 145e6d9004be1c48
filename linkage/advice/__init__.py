"""What to do about a tight spot: cures tried out on the figures before they are offered."""

from linkage.advice.cure import Advice, Cure, Tried, changes_of
from linkage.advice.cures import advise, search_cures

__all__ = ["Advice", "Cure", "Tried", "advise", "changes_of", "search_cures"]
