//! Use, measure again or recycle a salvaged cell, with every reason.
