"""Shop files written in every way YAML allows and the reader takes."""

# ruff: noqa: E501

ROOMS = "rooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\n"
FILES = {
    "all in braces": (
        "{shop: A, rooms: {hall: {at: [0, 0], size: [9000, 6000]}}, "
        "zones: {b: {room: hall, kind: floor, at: [1, 1], size: [5, 5],},},}\n"
    ),
    "carriage returns": (
        "# win\r\nshop: A   # name\r\n"
        + ROOMS.replace("\n", "\r\n")
        + "zones:\r\n  b:\r\n    room: hall # x\r\n"
        "    kind: floor\r\n    at: [1, 1]\r\n    size: [5, 5]\r\n\r\n# end\r\n"
    ),
    "byte order mark and other letters": (
        '\ufeffshop: Wërkstatt 🙂 Łódź   # ½\nrooms:\n  "halle é":\n    at: [0, 0]\n    size: [9000, 6000]   # 🙂🙂\n'
        "    note: 'Grüße: 部品 #1'\nzones:\n  regal ß: {room: halle é, kind: floor, at: [1, 1], size: [5, 5]}   # 🙂 ok\n"
    ),
    "odd indents": (
        "shop:   A\nrooms:\n       hall:\n          at: [0,0]\n          size:   [ 9000 ,6000 ]\nzones:\n b:\n"
        "     room:    hall\n     kind:    floor      # aligned\n     at:      [  1,   1]\n     size:    [  5,   5]\n"
        " c: {room:   hall,kind: floor ,  at: [ 20,1 ],size: [5,5] }\n"
    ),
    "anchors": (
        "shop: A\nrooms:\n  hall: &h\n    at: &p [0, 0]\n    size: &s [9000, 6000]\nzones:\n"
        "  b: &z {room: &r hall, kind: floor, at: [1, 1], size: [5, 5]}\n"
    ),
    "remarks all over": (
        "# top\n\n#   second\nshop: A\n\n\n# -------- rooms --------\nrooms: # the rooms\n  # the hall\n  hall: # big\n"
        "    # where\n    at: [0, # x\n         0] # y\n    size: [9000, 6000]\n    # after size\n  # after hall\n\n"
        "# -------- zones --------\nzones:\n  b: {room: hall, # in the hall\n      # a whole line\n      kind: floor, # what\n"
        "      at: [1, 1] , # where\n      size: [5, 5] # how big\n      # last\n     }\n  # after b\n\n  c: # cee\n"
        "    room: hall\n\n    kind: floor\n    at: [20, 1]\n\n    size: [5, 5]   \n# flush left\n\n"
    ),
    "texts over lines": (
        "shop: A\nrooms:\n  hall:\n    note: |\n      first: line\n        # not a remark\n\n    at: [0, 0]\n"
        "    size: [9000, 6000]\nzones:\n  b:\n    note: >-\n      folded\n      text\n    room: hall\n    kind: floor\n"
        "    at: [1, 1]\n    size: [5, 5]\n  c: {room: hall, kind: floor, at: [20, 1], size: [5, 5], note: plain text over\n"
        "      two lines}\n  d:\n    room: hall\n    kind: floor\n    at: [40, 1]\n    size: [5, 5]\n    note: |+\n"
        "      kept\n\n\n"
    ),
    "no last line end, a tab": (
        "---\nshop: A\t# tab\nrooms:\n  hall:\n    at: [0, 0]\n    size:\t[9000, 6000]\nzones:\n  b:\n    room: hall\n"
        "    kind: floor\n    at: [1, 1]\n    size: [5, 5]"
    ),
    "lists in blocks": (
        "%YAML 1.1\n---\nshop: A\nrooms:\n  hall:\n    outline:\n    - [0, 0]\n    -\n      - 9000 # x\n      - 0\n"
        "    - - 9000\n      - 6000\n    - [0, 6000]\n    was:\n      - old\n      - older   # very\nzones:\n  b:\n"
        "    kind: floor\n    room: hall\n    at:\n    - 1\n    - 1\n    size: 5x5 mm\n...\n# behind\n"
    ),
    "quotes and question marks": (
        '\'shop\': "A \\u00e9 \\\n   B"\n"rooms":\n  \'it\'\'s\': {"at":[0,0],"size":[9000,6000]}\n? zones\n: ? b\n'
        '  : {room: "it\'s", kind: floor, at: [1, 1], size: [5, 5], note: "a, b: {c} # d"}\n  ? "c, d"\n'
        "  : {room: it's, kind: floor, at: [20, 1], size: [5, 5], movable: yes, note: ''}\n"
    ),
    "single carriage returns, empty sections": (
        "shop: A\rrooms:\r  hall: {at: [0, 0], size: [9000, 6000]}\rzones: {}\rmachines: { }\r"
    ),
}
