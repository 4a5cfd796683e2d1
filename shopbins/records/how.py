"""How a position came off, and how long putting it back takes."""

from __future__ import annotations

from shopbins.records import acts_strip, kinds
from shopbins.records.record import Act

HOW = Act("how it came off", "noted how it came off:", acts_strip.tell_how, "part", thing=kinds.POSITION)
DAYS = Act("set days", "noted the days for", acts_strip.set_days, "part", thing=kinds.POSITION)
