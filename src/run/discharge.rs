//! A pack feeding its loads until something ends it.
