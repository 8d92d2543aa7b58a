//! Development: from the designed piece to the flat blank.
