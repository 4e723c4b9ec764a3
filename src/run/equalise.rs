//! Charge moving between tied packs over time.
