//! What a meter should read on the finished build.
