"""Every act, by the kind of its event: the list is the registry."""

from shopbins.records import (
    accepted,
    care,
    connection,
    corrections,
    fitting,
    group,
    how,
    inspection,
    machine,
    matched,
    milestone,
    pieces,
    position,
    relation,
    shortage,
    work,
)

ACTS = {
    act.kind: act
    for act in (
        *(group.CHANGE, group.DESCRIBE, group.LIFT_OFF, group.AWAY, group.BACK, group.SPLIT, group.MERGE),
        *(machine.ADD, machine.SET),
        accepted.TAKE_BACK,
        *(relation.BEFORE, relation.NOT_BEFORE),
        *(position.ADD, position.STRIKE, position.UNSTRIKE, position.ADD_ASSEMBLY, position.RENAME),
        *(how.HOW, how.DAYS),
        *(milestone.SET, milestone.REACHED, milestone.DROP, milestone.AFTER),
        *(fitting.FIT, fitting.TRY, fitting.OFF),
        *(work.LIST, work.DONE, work.AGAIN),
        inspection.INSPECT,
        *(shortage.ADD, shortage.SET, shortage.ARRIVE, shortage.RENEW, shortage.STRIKE),
        *(matched.MATCH, matched.DROP),
        *(connection.CONNECT, connection.SET),
        *(care.ADD, care.SET, care.HOURS),
        *(inspection.CONCEDE, inspection.WITHDRAW, corrections.FIX),
        *(pieces.CORRECT, pieces.LOSE, pieces.FIND, pieces.COUNT, pieces.NO_PART, pieces.GIVE, pieces.SWAP),
        *(pieces.BIND, pieces.LEND, pieces.CORRECT_LIST),
    )
}

RECORDS = (
    *(shortage.SHORTAGE, care.CARE, milestone.MILESTONE, how.CAME_OFF, work.WORK, matched.MATCHED),
    *(inspection.INSPECTION, inspection.CONCESSION, connection.CONNECTION),
)
"""The records whose typed line, form and options are made from their fields."""

FIELDS = {each.table: each.fields for each in (shortage.SHORTAGE, care.CARE)}
"""The fields of a table's documents, where a record says them all."""
