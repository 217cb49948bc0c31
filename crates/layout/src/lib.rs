//! A Design laid out in space: runs, pieces, joints, merges and what was noticed.
