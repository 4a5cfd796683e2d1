"""Putting back, trying, taking off again."""

from __future__ import annotations

from shopbins.records import acts_refit, kinds
from shopbins.records.record import Act, Field

FIT = Act(
    "fit", "put back", acts_refit.fit, "group",
    (
        Field("on", kinds.PAST, "on which day"),
        Field("to", kinds.GROUP, "fit it to this group rather than where it belongs", "--to"),
        Field("contents", kinds.YES, "what lies in or on it goes on with it", "--with-contents"),
        Field("anyway", kinds.TEXT, "put it back though it waits for something, with the reason kept",
              "--anyway", "REASON"),
        Field("qty", kinds.COUNT, "how many of its pieces (else all)", "--qty"),
    ),
    kinds.GROUP, signed=True,
)  # fmt: skip
TRY = Act("trial fit", "tried", acts_refit.try_on, "group", FIT.fields[:4], kinds.GROUP, signed=True)
OFF = Act(
    "take off again", "took off again:", acts_refit.come_off, "group",
    (FIT.fields[0], *FIT.fields[3:]), kinds.GROUP, signed=True,
)  # fmt: skip
