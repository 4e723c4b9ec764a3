//! Minutes on, minutes off, repeated; standby drain; what happens after cut-off.
