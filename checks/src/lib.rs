//! Tests against published values and general reference libraries; see `tests/`.
