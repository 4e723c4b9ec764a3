//! Findings about wire, fuse and joints.
