//! Which cells belong together: the weakest group made as strong as possible.
