//! What a meter says about a cell, with the meter's own uncertainty.
