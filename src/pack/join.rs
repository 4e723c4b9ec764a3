//! Current when packs or strings at unequal voltage are tied.
