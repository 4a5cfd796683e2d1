"""Strip and refit: positions on the machine, what comes off before what, what can go back, what is lacking.

Words: a *position* is where pieces go on the machine (see tree.py); a group's positions are `group.positions`
(its own id unless a list or a merge says otherwise). Everything below takes a `State` and changes nothing;
changes are acts (`records/`: State -> Draft), which the desk
records (`desk/strip.py`, a part of `Desk`).

tree.py         positions(state) -> {id: Position}; position_of(state, id) -> Position | None;
                paths(state) -> [path]; match(state, name, origin) -> position id | None
graph.py        Graph: before(position) and after(positions) -> [ids], host(position), sort_of(first, then)
order.py        state.follower(Order): look(position) -> Look (pieces, status), waits(position), now(), open()
waits.py        Wait(kind, text, subject); open_work(group) -> [points not done]
reach.py        reach(state, position) -> [Step(position, name, groups, already_off, told)]
refit.py        refit(state, machine=None, milestone=None) -> [Entry(position, name, group, pieces, waits,
                usual)];
                next_back(state, machine=None) -> [Entry]; chain(state, milestone) -> [positions]
shortages.py    shortages(state, today, all_of_them=False) -> [Lack(..., ask_by, needed_before, sentence)];
                hold_up(state, milestone, today) -> HoldUp(first, last, shortages, steps, unknown, sentence)
path.py         schedule(days, waits, ready=None, due=None) -> {step: Times}
count.py        count(state, machine=None, today=None) -> Count(balance, lines, stands, answer, headline)
book.py         state.follower(Book): account(group), look(position) -> Look, balance(machine): every piece in
                one account (the law, postings and shares: ledger/lots.py)
release.py      release(state, group, today) -> Release: may it go back on? From inspections and concessions;
                rejected(state, group, today) -> why nobody may let it; Tests.limits: those of its places
told.py         introduce(state, group) -> a line, what is rejected first; marked(state, group, name)
printed.py      digest(state, group) of its label; changed(state, group) -> what it says no more
fitting.py      against_fit(state, group, today) -> what nobody may let through, what a person may accept;
                on_trial(state) -> [Group]
heed.py         heed(state, group), heed_position(state, position): what hands are told before the act
missing.py      last_seen(events, group_id) -> LastSeen(where, event, lost, moved)
work.py         judge(measured, low, high) -> Judged(verdict, margin_mm, text, doc);
                inspections(state, group) -> [Inspection]; LISTS: short lists to begin with
threads.py      parse_thread(text) -> Thread
how.py          how_lines(doc) -> [lines]; the details `tell_how` takes
connections.py  connections(state) -> [Connection]; flags(connection) -> (Flag, Flag); parts_of(state, doc)
sets.py         matched_sets(state); warn_split, warn_gone, warn_seat, parted, at_refit -> [sentences]
care.py         care(state, today) -> [Care(..., due, overdue, sentence)]; overdue(state, position, today);
                CAUTIONS offered by a key
importing.py    header_of(data); guess(header) / remembered(state, header) -> {field: column};
                read(data, columns, machine) -> Sheet(rows, problems); news(state, sheet) -> News;
                import_parts(state, sheet) -> Draft

Tables of the ledger: part (what is said of positions), list (parts lists), before (relations), milestone,
shortage, inspection, set, connection, care, hours (counters), columns (remembered for imports), posting,
concession, accepted, correction.
"""
