//! Shop dimensions, angles and money: reading what people write and printing it back.
