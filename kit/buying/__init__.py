"""What has to be bought, so that it suffices although the floor is not known exactly."""

from kit.buying.lines import Line
from kit.buying.listing import BuyingList, buying_list

__all__ = ["BuyingList", "Line", "buying_list"]
