//! Plan to report: the only place that fixes the order of calls.
