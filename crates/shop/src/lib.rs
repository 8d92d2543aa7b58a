//! Stock, machines, operations, minutes and price.
