//! Checks of the weld room that need more than one of its modules.
