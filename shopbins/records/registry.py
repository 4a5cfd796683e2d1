"""Every act, by the kind of its event."""

from shopbins.records import care, how, inspection, pieces, shortage

ACTS = {
    act.kind: act
    for act in (
        *(care.ADD, care.SET, care.HOURS),
        *(how.HOW, how.DAYS),
        *(shortage.ADD, shortage.SET, shortage.ARRIVE, shortage.RENEW, shortage.STRIKE),
        *(inspection.INSPECT, inspection.CONCEDE, inspection.WITHDRAW),
        *(pieces.CORRECT, pieces.LOSE, pieces.FIND, pieces.COUNT, pieces.NO_PART, pieces.GIVE, pieces.SWAP),
        *(pieces.BIND, pieces.LEND, pieces.CORRECT_LIST),
    )
}
