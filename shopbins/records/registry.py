"""Every act, by the kind of its event."""

from shopbins.records import care, how, shortage

ACTS = {
    act.kind: act
    for act in (
        *(care.ADD, care.SET, care.HOURS),
        *(how.HOW, how.DAYS),
        *(shortage.ADD, shortage.SET, shortage.ARRIVE, shortage.RENEW, shortage.STRIKE),
    )
}
