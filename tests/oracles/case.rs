//! Numbers of a simulated case.

use serde_json::Value;

/// The number of this name; its lack is told with the case.
pub(crate) fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap_or_else(|| panic!("{key} in {case}"))
}
