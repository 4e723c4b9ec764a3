//! Which fuse rating lies between the load and the wire.
