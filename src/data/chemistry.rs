//! Rest voltage over state of charge, pulse resistances and limits of each cell chemistry.
