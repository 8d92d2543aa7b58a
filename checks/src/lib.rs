//! Tests against published values and general reference libraries; everything stands in `tests/it/`.
