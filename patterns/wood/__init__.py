"""Wood as a value: areas with labelled edges, where they lie in the boat, pieces and how they meet.

How to move a member that still fills in a `Pattern` by hand:

1. Dump its patterns before (or run ``python -m tests.bench.compare_commits BASE``), one member to a commit.
2. Cut its two faces as `Region`s.  Begin with `section_region(section)` where planking or deck bounds it, else with
   `Region.of(area, Free())`; keep to `minus`, `both` and `joined`, and give each cut the label of what lies there:
   `Against(name)` for another piece, `Opening` for a limber hole, `Trim` for an end, `Level` for a level top,
   `Free` for the designer's own line.  After a step made without labels (hairs taken off, a half drawn up to the
   centreline) use `changed` or `to_the_centreline`.  Never look for an edge by its distance to another.
3. For each face make a `Face`: its region; for every label with a bevel its source (`sources_of(section)`; an end
   that is straight on both faces is `straight_end`); `Note`s at places and `Scribed` lines.  Flat pieces inside the
   planking get corners, notches, levels and distances from `joinery.flat_pieces.fitted`.
4. Make the `Piece`: hand, `OnFace(moulded face, sense)`, stock, facts.  A piece across the centreline is given by
   its starboard half.  Saw line, bevels, register holes, bodies, wood left, mirror and other
   face follow; store none.
   `Papers` says what of it is drawn; `Role` whether it is whole, a part or a tool; `spare` what is left to trim.
   A bent sheet lies `on_sheets`; an outline made point by point is a `Region.around`.
5. Give it its `meetings`: with every other piece that its edges and faces lie on, and every one for which it is cut
   (`joinery.ringed.notch_meetings` for timbers that pass).  A `Meeting` is made from where both lie uncut and names
   the keys that ask for it; two pieces that are cut for each other carry the same one.  What timbers fore and
   aft take out of a piece is cut by `joinery.let_in` when it is drawn, whatever kind it is.  Say where it touches
   by the `edges` or `faces` of the piece that carries it.  On what is made of several pieces it lands on `OneOf`
   them.  Planking and deck need none: the labels of the edges say it.
6. Turn each sentence into a `Fact` (a kind and its figures) and a template: in the member's own ``WORDS``, or in
   `text.wood_facts` where several members share it.  A member's template wins over a shared one.
7. Draw it by ``pattern_of(boat, piece, WORDS)``.  A long timber is a `LongPiece`, drawn by ``papers_of``.
8. Delete what it replaces.  Test the piece in ``tests/patterns/test_piece.py``: add it to ``_pieces``.
"""
