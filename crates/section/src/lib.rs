//! The designed piece in space: edge lines, cross-sections, make-ups, folds.
